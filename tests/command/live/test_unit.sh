#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# The unit is one that systemd takes, and its command line one that the command takes: with a show that is not there, it says so.
# Usage: test_unit.sh COMMAND UNIT

command=$(realpath "$1")
folder=$(mktemp -d) || exit 1
trap 'rm -r "$folder"' EXIT
unit="$folder/fronthash-live@.service"
sed "s|^ExecStart=[^ ]*|ExecStart=$command|" "$2" >"$unit"

if command -v systemd-analyze >/dev/null; then
  HOME=$folder XDG_RUNTIME_DIR=$folder systemd-analyze --user --man=no verify "$unit" || exit 1
fi

line=$(sed -n 's/^ExecStart=//p' "$unit" | sed "s|%E|$folder|g; s|%i|tide|g; s|\$FRONTHASH_OPTIONS|--osc off --page 8017|")
said=$($line 2>&1)
case $said in
  *"$folder/fronthash/tide.show"*) ;;
  *) echo "test_unit: '$line' says '$said'" >&2; exit 1 ;;
esac
