#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
# Run the validators of the LV2 SDK over a bundle: validate.sh BUNDLE

for tool in lv2_validate sord_validate; do
  command -v "$tool" >/dev/null || { echo "validate: $tool is missing (packages lv2-dev and sordi)"; exit 77; }
done

# Both end on their count of errors; sord_validate needs the LV2 vocabulary beside the bundle
vocabulary=$(find /usr/lib/lv2 -name "*.ttl") # where lv2_validate looks, too

check() {
  out=$("$@" 2>&1)
  echo "$1: $out"
  case $out in
  *"Found 0 errors"*) ;;
  *) exit 1 ;;
  esac
}

check lv2_validate "$1"/*.ttl
# shellcheck disable=SC2086 # one word a file
check sord_validate $vocabulary "$1"/*.ttl
