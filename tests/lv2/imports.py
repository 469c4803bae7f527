# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""The plugin's binary asks for nothing beyond a short list, and all of it when it is loaded: full RELRO and BIND_NOW as
in the manual of ld(1), keywords `relro` and `now`, read by readelf from the built file. Also for any other binary,
as a command: imports.py FILE.

Each name that may be imported stands with who may call it. What is not here cannot be called from the audio thread by
mistake: no locks, files, sleep, clock, print or memory map."""

import re
import subprocess
import sys

ALLOWED = {
    # instantiate() and cleanup()
    "aligned_alloc", "free", "tan",
    # libm, when controls change or a tick ends; no signal-dependent loops in glibc's (sysdeps/ieee754)
    "expf", "logf", "powf", "fmaxf", "fminf", "fmin", "fmax", "floorf", "log10f", "exp2f", "log2f", "sqrtf", "lrintf",
    # memory that is there already
    "memcmp", "memcpy", "memset", "memmove", "strcmp",
    # the compiler's and the loader's own
    "__cxa_finalize", "__gmon_start__", "_ITM_deregisterTMCloneTable", "_ITM_registerTMCloneTable",
    "__stack_chk_fail", "__cpu_model", "__cpu_indicator_init",
}


def tool(*line):
    return subprocess.run(line, check=True, capture_output=True, text=True).stdout


def imports(path):
    return {line.split()[-1].split("@")[0] for line in tool("nm", "-D", "--undefined-only", path).splitlines()}


def is_bound(path):
    dynamic = tool("readelf", "-dW", path)
    return bool("GNU_RELRO" in tool("readelf", "-lW", path) and re.search(r"BIND_NOW|FLAGS_1\).*NOW", dynamic))


def complaints(path):
    strange = sorted(imports(path) - ALLOWED)
    return ([f"{path} imports {', '.join(strange)}"] if strange else []) + (
        [] if is_bound(path) else [f"{path} is not linked with -z relro -z now"])


if __name__ == "__main__":
    found = complaints(sys.argv[1])
    print(*(found or ["imports: all on the list, bound when loaded"]), sep="\n")
    sys.exit(1 if found else 0)
