#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# Tunes on made-up scenes and scores what comes of it against the solo's own truth, beside the defaults: SI-SDR gained,
# soloist missed, field let through. The tuned values are scored on the tuned music and on other music, too.
# One scene; with FH_THOROUGH in the environment all that are named.
# Usage: test_tune_scenes.sh COMMAND FH_SCENE FH_SCORE BUNDLES CACHE sampled|synth SCENE...

command=$1
fh_scene=$2
fh_score=$3
LV2_PATH=$4
cache=$5
strength=$6
shift 6
[ -n "$FH_THOROUGH" ] || set -- "$1"
folder=$(mktemp -d) || exit 1
trap 'rm -rf "$folder"' EXIT
HOME=$folder
export HOME LV2_PATH
[ "$strength" = sampled ] && of_scene=--sampled of_score= || of_scene='' of_score=--synth

score() # SCENE [--set PORT=VALUE]...: gained missed false, mean of two seeds, as it comes and then set
{
  scene=$1
  shift
  "$fh_score" --scenes "$scene" --ratios 10 --seeds 1,2 $of_score --jobs 1 --cache "$cache" --beside --json "$@" | awk '
    /"scene"/ { i = /"defaults": false/; n[i]++ }
    /"gained_db"/ { gained[i] += value($0, "gained_db") }
    /"missed_percent"/ { missed[i] += value($0, "missed_percent") }
    /"false_percent"/ { wrong[i] += value($0, "false_percent") }
    function value(line, key) { sub(".*\"" key "\": *", "", line); return line + 0 }
    END {
      if (n[0] != 2 || n[1] != 2) exit 1
      print gained[0] / 2, missed[0] / 2, wrong[0] / 2, gained[1] / 2, missed[1] / 2, wrong[1] / 2
    }'
}

total='0 0 0'
count=0
for scene; do
  "$fh_scene" "$scene" $of_scene --cache "$cache" --output "$folder/$scene" >/dev/null || exit 1
  "$command" tune "$folder/$scene/take.wav" --soloist "$scene" --json >"$folder/$scene.json" || exit 1
  sets=$(awk -F'"' '/"port":/ { port = $4 } /"value":/ { sub(/.*: /, ""); sub(/,.*/, ""); print "--set " port "=" $0 }' \
    "$folder/$scene.json")
  [ "$(echo "$sets" | wc -l)" -eq 9 ] || { echo "tune chose $(echo $sets)" >&2; exit 1; }
  # One verdict on the separation, whoever is asked
  take=$folder/$scene/take.wav
  verdicts=$({ cat "$folder/$scene.json"; "$command" check "$take" --family "$scene" --json
    "$command" render "$take" --learn-ambient 0.5-9 --output "$folder/$scene.wav" --json; } | sed -n 's/.*"verdict": "\([a-z]*\)".*/\1/p')
  [ "$(echo "$verdicts" | sort | uniq -c | awk '{ print $1 }')" = 3 ] || { echo "$scene: verdicts" $verdicts >&2; exit 1; }
  scores=$(score "$scene" $sets) || { echo "no score for $scene" >&2; exit 1; }
  echo "$scene: gained dB, missed %, false %: $scores, as it comes, then tuned ($(echo $sets | sed 's/--set //g'))"
  total=$(echo "$total $scores" | awk '{ print $1 + $7 - $4, $2 + $8 - $5, $3 + $9 - $6 }')
  count=$((count + 1))
done

# At least as good: a twentieth of a dB and a fifth of a percent are what a rounded control moves
echo "$total" | awk -v n=$count '{
  printf "mean change: %+.2f dB gained, %+.2f %% missed, %+.2f %% false\n", $1 / n, $2 / n, $3 / n
  exit !($1 / n > -0.05 && ($2 + $3) / n < 0.2) }'
