# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
"""unit.cu for Python: the gated recurrent unit on an accelerator, some ten times as fast as PyTorch's own at this size."""

import ctypes
import os
import subprocess
import tempfile

import torch

TAKES = 6  # at once; a batch is a multiple
LIKE = 1e-4  # of the largest: how far it may be from PyTorch's own


def build():
    here = os.path.dirname(os.path.abspath(__file__))
    path = os.path.join(tempfile.mkdtemp(), "unit.so")
    flags = "-O3 -arch=native -shared -Xcompiler -fPIC".split()
    subprocess.run(["nvcc", *flags, "-o", path, os.path.join(here, "unit.cu")], check=True)
    Unit.library = ctypes.CDLL(path)
    check()


def pointer(tensor):
    return ctypes.c_void_p(tensor.data_ptr())


class Unit(torch.autograd.Function):
    """x (time, takes, 3 units): what comes in -> memory (time, takes, units); as torch.nn.GRU, from nothing remembered"""

    library = None

    @staticmethod
    def forward(ctx, x, w, bias):
        ticks, takes, rows = x.shape
        units = rows // 3
        x, w, bias = x.contiguous(), w.contiguous(), bias.contiguous()
        memory = torch.empty(ticks + 1, takes, units, device=x.device)
        memory[0] = 0.0
        kept = torch.empty(ticks, takes, 4 * units, device=x.device)
        if takes % TAKES or Unit.library.unit_forward(units, pointer(x), pointer(w), pointer(bias), ticks, takes, pointer(memory), pointer(kept)):
            raise RuntimeError(f"no kernel for {units} units, {takes} takes")
        ctx.save_for_backward(w, memory, kept)
        return memory[1:]

    @staticmethod
    def backward(ctx, above):
        w, memory, kept = ctx.saved_tensors
        ticks, takes, units = above.shape
        above = above.contiguous()
        dx = torch.empty(ticks, takes, 3 * units, device=above.device)
        d_past = torch.empty(ticks, takes, units, device=above.device)
        if Unit.library.unit_backward(units, pointer(w), pointer(memory), pointer(kept), pointer(above), ticks, takes, pointer(dx), pointer(d_past)):
            raise RuntimeError(f"no kernel for {units} units, {takes} takes")
        flat, past, before = dx.reshape(-1, 3 * units), d_past.reshape(-1, units), memory[:-1].reshape(-1, units)
        dw = torch.cat((flat[:, : 2 * units].T @ before, past.T @ before))
        return dx, dw, torch.cat((flat[:, : 2 * units].sum(0), past.sum(0)))


def check():
    """Against PyTorch's own: values and gradients"""
    torch.manual_seed(1)
    rough, torch.backends.cudnn.allow_tf32 = torch.backends.cudnn.allow_tf32, False  # PyTorch's own rounds else
    x, unit = torch.randn(100, 2 * TAKES, 64, device="cuda"), torch.nn.GRU(64, 64).cuda()
    above, found = torch.randn_like(x), []
    for ours in (False, True):
        unit.zero_grad()
        into = torch.nn.functional.linear(x, unit.weight_ih_l0, unit.bias_ih_l0)
        memory = Unit.apply(into, unit.weight_hh_l0, unit.bias_hh_l0) if ours else unit(x)[0]
        memory.backward(above)
        found.append([memory.detach(), *(part.grad.clone() for part in unit.parameters())])
    for theirs, ours in zip(*found):
        if (theirs - ours).abs().max() > LIKE * theirs.abs().max():
            raise RuntimeError("unit.cu does not what PyTorch's unit does here")
    torch.backends.cudnn.allow_tf32 = rough
