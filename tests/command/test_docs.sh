#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# Holds man page and completions against what the command says of itself in --help, and where zsh and fish are installed, lets
# them complete.
# Usage: test_docs.sh COMMAND MAN_PAGE BASH ZSH FISH MAKE_TAKE BUNDLES

command=$1
page=$2
completion=$3
zsh=$4
fish=$5
make_take=$6
bundles=$7
failed=0
take=$(mktemp -d) || exit 1
trap 'rm -r "$take"' EXIT

complain()
{
  echo "test_docs: $1" >&2
  failed=1
}

options_of() # of a verb, sorted
{
  "$command" "$1" --help | sed -n '/^Options:/,/^Examples:/s/^  \(--[a-z-]*\).*/\1/p' | sort -u
}

in_zsh() # what it is given to offer after these words, a line each
{
  if command -v zsh >/dev/null; then
    zsh -fc 'file=$1; shift; words=(fronthash "$@" ""); CURRENT=$#words
      _arguments() { print -l -- "$@" }; _describe() { print -l -- "$verbs[@]" }; offer() { . $file }; offer' - "$zsh" "$@"
  elif [ $# = 0 ]; then
    sed -n "/^verbs=/,/^fi/s/^ *'//p" "$zsh"
  else
    sed -n "/^  ($1)/,/;;/s/^ *'//p" "$zsh"
  fi
}

in_fish() # what it offers after these words, a line each
{
  if command -v fish >/dev/null; then
    HOME=$take fish --no-config -c '. $argv[1]; complete -C "fronthash $argv[2..]"' "$fish" "$@" | cut -f 1
  elif [ "$1" = "" ]; then
    sed -n 's/.*-eq 1.* -a \([a-z]*\) .*/\1/p' "$fish"
  else
    sed -n "/__fronthash_verb $1'/s/.* -l \([a-z-]*\).*/--\1/p" "$fish"
  fi
}

must_be() # the same, sorted: WHAT OFFERED EXPECTED
{
  offered=$(echo "$2" | sort)
  expected=$(echo "$3" | sort)
  [ "$offered" = "$expected" ] || complain "$1 offers: $(echo $offered); there are: $(echo $expected)"
}

verbs=$("$command" --help | sed -n '/^Verbs:/,/^$/s/^  \([a-z]*\) .*/\1/p')
[ -n "$verbs" ] || complain "no verbs found in --help"

for verb in $verbs; do
  section=$(awk -v name="$(echo "$verb" | tr a-z A-Z)" \
    '/^\.SH /{on = ($2 == name || $2 == "OPTIONS")} on' "$page" | sed 's/\\-/-/g')
  [ "$(options_of "$verb" | wc -l)" -gt 1 ] || complain "few options found for $verb"
  for option in $(options_of "$verb"); do
    echo "$section" | grep -q -e "^\.BI* $option\( \|\$\)" || complain "the man page lacks $option of $verb"
  done
  for option in $(echo "$section" | sed -n 's/^\.BI* \(--[a-z-]*\).*/\1/p'); do
    options_of "$verb" | grep -qx -e "$option" || complain "the man page has $option, $verb has not"
  done
  listed=$(bash -c '. "$1"; COMP_WORDS=(fronthash "$2" --); COMP_CWORD=2; compopt() { :; }
    _fronthash fronthash -- "$2"; printf "%s\n" "${COMPREPLY[@]}"' - "$completion" "$verb" | sort -u)
  must_be "bash of $verb" "$listed" "$(options_of "$verb")"
  must_be "zsh of $verb" "$(in_zsh "$verb" | sed -n 's/^\*\{0,1\}\(--[a-z-]*\).*/\1/p')" "$(options_of "$verb")"
  must_be "fish of $verb" "$(in_fish "$verb" -- | grep -e ^--)" "$(options_of "$verb")"
done

offered=$(bash -c '. "$1"; COMP_WORDS=(fronthash ""); COMP_CWORD=1; _fronthash fronthash "" fronthash
  printf "%s\n" "${COMPREPLY[@]}"' - "$completion" | grep -v -e ^--)
must_be bash "$offered" "$verbs"
must_be zsh "$(in_zsh | sed -n 's/^\([a-z]*\):.*/\1/p')" "$verbs"
must_be fish "$(in_fish '' | grep -v -e ^--)" "$verbs"

# The ports that can be set, as the command lists them when asked for one that is not there
ports=$(bash -c '. "$1"; COMP_WORDS=(fronthash render --set ""); COMP_CWORD=3; compopt() { :; }
  _fronthash fronthash "" --set; printf "%s\n" "${COMPREPLY[@]}"' - "$completion" | tr -d =)
"$make_take" "$take/take.wav" short || complain "no take to try ports on"
said=$("$command" render "$take/take.wav" --bundle "$bundles" --set none=1 2>&1 | sed 's/.*there are //' | tr -d ' ' |
  tr , '\n')
must_be "--set" "$ports" "$said"

# The names that are no option's, as --help lists them
for option in --family --dynamic --pattern; do
  names=$(bash -c '. "$1"; COMP_WORDS=(fronthash plan "$2" ""); COMP_CWORD=3; _fronthash fronthash "" "$2"
    printf "%s\n" "${COMPREPLY[@]}"' - "$completion" "$option")
  said=$("$command" plan "$option" none 2>&1 | sed 's/.*one of //' | tr -d ' ' | tr , '\n')
  must_be "plan $option" "$names" "$said"
done

if command -v groff >/dev/null; then
  groff -man -ww -z -Tutf8 "$page" 2>&1 | grep . && complain "groff warns of the man page"
fi
exit $failed
