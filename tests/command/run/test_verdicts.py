#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""One take, one verdict: check, render and tune say the same separation and the same word, also where the take lies a hair
to either side of a limit. The takes are mixed from a soloist and a field that are known apart, and the figure is held
against 10 lg(1 + S / F) of their powers in the close microphone."""

import array
import json
import math
import operator
import os
import subprocess
import sys
import tempfile
import wave

command, make_take, bundles = map(os.path.abspath, sys.argv[1:4])
LIMITS = {6.0: ('move', 'thin'), 12.0: ('thin', 'good')}  # of plugin/ui/verdict.h: dB, below, from there on
PHRASES = [(8, 10.5), (12, 14), (15.5, 18), (20, 22)]  # s, as make_take says
env = dict(os.environ, LV2_PATH=bundles)


def run(*args):
  """Printed JSON. Exit code 1 of check is something to do."""
  done = subprocess.run([command, *args, '--json'], env=env, capture_output=True, text=True)
  if done.returncode not in (0, 1) or not done.stdout:
    sys.exit(f'{args}: {done.stderr}')
  return json.loads(done.stdout)


def make(kind, *amplitudes):
  subprocess.run([make_take, kind + '.wav', kind, *amplitudes], check=True)


def separation(report):
  return next(f['value'] for f in report['findings'] if f['code'] == 'separation')


def power(stem):
  """Of a stem in the phrases"""
  make(stem)
  with wave.open(stem + '.wav') as file:
    assert file.getsampwidth() == 2
    rate, sound = file.getframerate(), array.array('h', file.readframes(file.getnframes()))
  parts = [sound[int(start * rate) : int(end * rate)] for start, end in PHRASES]
  return sum(sum(map(operator.mul, part, part)) for part in parts)


with tempfile.TemporaryDirectory() as folder:
  os.chdir(folder)
  env['HOME'] = folder
  ratio = power('stem_solo') / power('stem_field')

  def judged(db):
    make('mix', f'{10 ** (db / 20)},1', '0,0,1')
    return run('check', 'mix.wav')

  gains = [-4.0, 4.0]  # dB of the soloist
  for limit in LIMITS:
    at = limit - 13.5
    for _ in range(2):  # Newton's method, with the slope of 10 lg(1 + S / F)
      at += (limit - separation(judged(at))) / (1 - 10 ** (-limit / 10))
    gains += [at - 0.05, at + 0.05]
  for i, db in enumerate(gains):
    report = judged(db)
    said = {'check': (separation(report), report['verdict'])}
    render = run('render', 'mix.wav', '--learn-ambient', '0.5-7.5', '--replace')
    said['render'] = (render['separation_db'], render['verdict'])
    if i == len(gains) - 1:  # tuning runs the plugin forty times
      tune = run('tune', 'mix.wav', '--replace')
      said['tune'] = (tune['separation_db'], tune['verdict'])
    first = said['check']
    if any(abs(s[0] - first[0]) > 0.051 or s[1] != first[1] for s in said.values()):
      sys.exit(f'soloist at {db:.2f} dB: {said}')
    known = 10 * math.log10(1 + 10 ** (db / 10) * ratio)
    if abs(first[0] - known) > 1.5:  # rests within phrases and the soloist in the ambient microphone
      sys.exit(f'soloist at {db:.2f} dB: separation {first[0]:.1f} dB, by the parts it is {known:.1f} dB')
    if i > 1:  # below and above a limit in turn
      limit = list(LIMITS)[i // 2 - 1]
      if (first[0] >= limit) != (i % 2 == 1) or abs(first[0] - limit) > 0.5:
        sys.exit(f'separation {first[0]:.2f} dB does not lie just {"above" if i % 2 else "below"} {limit} dB')
      if first[1] != LIMITS[limit][i % 2]:
        sys.exit(f'separation {first[0]:.2f} dB is called {first[1]}')
    print(f'{db:.2f} dB: {known:.1f} dB by the parts; {said}')
