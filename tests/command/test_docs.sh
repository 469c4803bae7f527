#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# Holds man page and completion against what the command says of itself.
# Usage: test_docs.sh COMMAND MAN_PAGE COMPLETION MAKE_TAKE BUNDLES

command=$1
page=$2
completion=$3
make_take=$4
bundles=$5
failed=0

complain()
{
  echo "test_docs: $1" >&2
  failed=1
}

options_of() # of a verb, sorted
{
  "$command" "$1" --help | sed -n '/^Options:/,/^Examples:/s/^  \(--[a-z-]*\).*/\1/p' | sort -u
}

verbs=$("$command" --help | sed -n '/^Verbs:/,/^$/s/^  \([a-z]*\) .*/\1/p')
[ -n "$verbs" ] || complain "no verbs found in --help"

for verb in $verbs; do
  section=$(awk -v name="$(echo "$verb" | tr a-z A-Z)" \
    '/^\.SH /{on = ($2 == name || $2 == "COMMON")} on' "$page" | sed 's/\\-/-/g')
  [ "$(options_of "$verb" | wc -l)" -gt 1 ] || complain "few options found for $verb"
  for option in $(options_of "$verb"); do
    echo "$section" | grep -q -e "^\.BI* $option\( \|\$\)" || complain "the man page lacks $option of $verb"
  done
  for option in $(echo "$section" | sed -n 's/^\.BI* \(--[a-z-]*\).*/\1/p'); do
    case $verb$option in live--json | sheet--json) continue ;; esac # which print no figures
    options_of "$verb" | grep -qx -e "$option" || complain "the man page has $option, $verb has not"
  done
  listed=$(bash -c '. "$1"; COMP_WORDS=(fronthash "$2" --); COMP_CWORD=2; compopt() { :; }
    _fronthash fronthash -- "$2"; printf "%s\n" "${COMPREPLY[@]}"' - "$completion" "$verb" | sort -u)
  [ "$listed" = "$(options_of "$verb")" ] ||
    complain "completion of $verb offers: $(echo $listed); the verb has: $(echo $(options_of "$verb"))"
done

offered=$(bash -c '. "$1"; COMP_WORDS=(fronthash ""); COMP_CWORD=1; _fronthash fronthash "" fronthash
  printf "%s\n" "${COMPREPLY[@]}"' - "$completion" | grep -v -e ^-- | sort)
[ "$offered" = "$(echo "$verbs" | sort)" ] || complain "completion offers the verbs: $(echo $offered)"

# The ports that can be set, as the command lists them when asked for one that is not there
ports=$(bash -c '. "$1"; COMP_WORDS=(fronthash render --set ""); COMP_CWORD=3; compopt() { :; }
  _fronthash fronthash "" --set; printf "%s\n" "${COMPREPLY[@]}"' - "$completion" | tr -d = | sort)
take=$(mktemp -d) || exit 1
trap 'rm -r "$take"' EXIT
"$make_take" "$take/take.wav" short || complain "no take to try ports on"
said=$("$command" render "$take/take.wav" --bundle "$bundles" --set none=1 2>&1 | sed 's/.*there are //' | tr -d ' ' |
  tr , '\n' | sort)
[ "$ports" = "$said" ] || complain "completion offers the ports: $(echo $ports); there are: $(echo $said)"

if command -v groff >/dev/null; then
  groff -man -ww -z -Tutf8 "$page" 2>&1 | grep . && complain "groff warns of the man page"
fi
exit $failed
