#!/usr/bin/env python3
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

"""One take, one verdict: check, render and tune say the same separation and the same word, also where the take lies a hair
to either side of a limit. The takes are mixed from a soloist and a field that are known apart, and the figure is held
against 10 lg(1 + S / F) of their powers in the close microphone."""

import array
import json
import math
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


def load(path):
  with wave.open(path) as file:
    assert file.getsampwidth() == 2
    return file.getparams(), array.array('h', file.readframes(file.getnframes()))


def mix(path, params, take, solo, field, db):
  gain = 10 ** (db / 20)
  mixed = array.array('h', take)
  mixed[0::2] = array.array('h', (max(-32768, min(32767, round(gain * s + f))) for s, f in zip(solo, field)))
  with wave.open(path, 'wb') as file:
    file.setparams(params)
    file.writeframes(mixed.tobytes())


def separation(report):
  return next(f['value'] for f in report['findings'] if f['code'] == 'separation')


def expected(params, solo, field, db):
  power = [0.0, 0.0]
  for start, end in PHRASES:
    span = slice(int(start * params.framerate), int(end * params.framerate))
    for i, part in enumerate((solo, field)):
      power[i] += sum(x * x for x in part[span])
  return 10 * math.log10(1 + 10 ** (db / 10) * power[0] / power[1])


with tempfile.TemporaryDirectory() as folder:
  os.chdir(folder)
  env['HOME'] = folder
  for kind in ('solo', 'stem_solo', 'stem_field'):
    subprocess.run([make_take, kind + '.wav', kind], check=True)
  params, take = load('solo.wav')
  _, solo = load('stem_solo.wav')
  _, field = load('stem_field.wav')

  def judged(db):
    mix('take.wav', params, take, solo, field, db)
    return run('check', 'take.wav')

  gains = [-4.0, 4.0]  # dB of the soloist
  for limit in LIMITS:
    low, high = -9.0 + (limit - 6.0), -6.0 + (limit - 6.0)
    while high - low > 0.1:
      middle = 0.5 * (low + high)
      low, high = (low, middle) if separation(judged(middle)) >= limit else (middle, high)
    gains += [low, high]
  for i, db in enumerate(gains):
    report = judged(db)
    said = {'check': (separation(report), report['verdict'])}
    render = run('render', 'take.wav', '--learn-ambient', '0.5-7.5', '--replace')
    said['render'] = (render['separation_db'], render['verdict'])
    if i == len(gains) - 1:  # tuning runs the plugin forty times
      tune = run('tune', 'take.wav', '--replace')
      said['tune'] = (tune['separation_db'], tune['verdict'])
    first = said['check']
    if any(abs(s[0] - first[0]) > 0.051 or s[1] != first[1] for s in said.values()):
      sys.exit(f'soloist at {db:.2f} dB: {said}')
    known = expected(params, solo, field, db)
    if abs(first[0] - known) > 1.5:  # rests within phrases and the soloist in the ambient microphone
      sys.exit(f'soloist at {db:.2f} dB: separation {first[0]:.1f} dB, by the parts it is {known:.1f} dB')
    for limit, words in LIMITS.items():
      if i > 1 and abs(first[0] - limit) < 0.5 and first[1] != words[first[0] >= limit]:
        sys.exit(f'separation {first[0]:.2f} dB is called {first[1]}')
    print(f'{db:.2f} dB: {known:.1f} dB by the parts; {said}')
