#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# ffmpeg's lv2 filter knows no presets. The filter that tune prints must set the same controls there: sample for sample what
# the plugin makes of the take with these controls in the command itself, and not what it makes with the defaults. Tuning begins from a
# preset, since it may well leave the defaults as they are.
# Usage: test_tune_ffmpeg.sh COMMAND MAKE_TAKE BUNDLE_FOLDER

command=$(realpath "$1")
make_take=$(realpath "$2")
folder=$(mktemp -d) || exit 1
trap 'rm -rf "$folder"' EXIT
mkdir "$folder/home" "$folder/lv2" && ln -s "$3/fronthash.lv2" "$folder/lv2/fronthash.lv2" && cd "$folder" || exit 1
HOME=$folder/home
LV2_PATH=$folder/lv2
export HOME LV2_PATH

ffmpeg -hide_banner -h filter=lv2 | grep -q preset && { echo "ffmpeg's lv2 filter has presets now: say so" >&2; exit 1; }

fail()
{
  echo "$1" >&2
  exit 1
}

for kind in low_rate low_pair; do
  preset=trumpet
  [ $kind = low_pair ] && preset='Marimba: one microphone or two'
  "$make_take" made.wav $kind && ffmpeg -v error -y -i made.wav -c:a pcm_f32le $kind.wav || exit 1
  "$command" tune --keep $kind.wav --preset "$preset" --output tuned-$kind.lv2 >said-$kind || fail "tune fails on $kind"
  filter=$(sed -n "s/^  -af '\(.*\)'$/\1/p" said-$kind)
  printf '%s: %s\n' $kind "$filter"
  # What the written preset holds, as the command takes it
  sets=$(sed -n '/lv2:symbol/{N;s/.*"\(.*\)".*pset:value \([-0-9.]*\).*/--set \1=\2/p}' tuned-$kind.lv2/state.ttl)
  [ "$(echo "$sets" | wc -l)" -gt 12 ] || fail "few controls in the preset: $sets"
  "$command" render $kind.wav $sets --output wanted.wav --replace >/dev/null || fail "render does not take $sets"
  "$command" render $kind.wav --output plain.wav --replace >/dev/null || exit 1
  for name in wanted plain; do
    ffmpeg -v error -y -i $name.wav -f f32le $name.raw || exit 1
  done
  ffmpeg -v error -y -i $kind.wav -af "$filter" -f f32le found.raw || fail "ffmpeg refuses the filter"
  cmp found.raw wanted.raw || fail "$kind: ffmpeg does not play with the tuned controls"
  cmp -s found.raw plain.raw && fail "$kind: the filter changes nothing"
done
exit 0
