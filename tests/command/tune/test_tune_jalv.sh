#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# Loads a tuned preset into a host that knows nothing of this project, from a HOME that was empty before: by its folder, and
# by its place in the host's own list of presets.
# Usage: test_tune_jalv.sh COMMAND MAKE_TAKE BUNDLE_FOLDER

command=$1
make_take=$2
folder=$(mktemp -d) || exit 1
server=fronthash$$
trap 'kill $jack 2>/dev/null; rm -rf "$folder"' EXIT

mkdir "$folder/home" "$folder/lv2" && ln -s "$3/fronthash.lv2" "$folder/lv2/fronthash.lv2" || exit 1
HOME=$folder/home
LV2_PATH=$HOME/.lv2:$folder/lv2
JACK_DEFAULT_SERVER=$server
export HOME LV2_PATH JACK_DEFAULT_SERVER

"$make_take" "$folder/take.wav" brief || exit 1
"$command" tune --keep "$folder/take.wav" --soloist Mira --title 'Tide Lines' >/dev/null || exit 1
preset=$(echo "$HOME"/.lv2/*)

jackd -r -n "$server" -d dummy -r 48000 -p 512 >/dev/null 2>&1 &
jack=$!
jack_wait -s "$server" -w -t 10 >/dev/null

said=$( (sleep 1; echo presets; sleep 1; echo controls; sleep 1; echo quit) |
  timeout 20 jalv -x -l "$preset" -n fronthash urn:fronthash:solo 2>&1)

failed=0
echo "$said" | grep -q "(Mira: Tide Lines)" || { echo "not in the host's list: $said" >&2; failed=1; }
for port in open_margin hysteresis attack hold release duck_depth low_cut high_cut ambient_delay; do
  wanted=$(sed -n "/\"$port\"/{n;s/.*value //p}" "$preset/state.ttl")
  got=$(echo "$said" | sed -n "s/^>* *$port = //p" | tail -1)
  awk -v a="$wanted" -v b="$got" 'BEGIN { exit !(a != "" && b != "" && (a - b) ^ 2 < 1e-6) }' ||
    { echo "$port: the preset says '$wanted', the host '$got'" >&2; failed=1; }
done
exit $failed
