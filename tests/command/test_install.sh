#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# What is installed is all there, where others look for it, and uninstalling leaves nothing behind. Works on links to the build,
# with a log of its own: what is really installed can still be uninstalled.
# Places: LV2 (lib/lv2), man-pages(7), systemd.unit(5), README of bash-completion, zshbuiltins(1) on fpath, fish's vendor folders
# Usage: test_install.sh BUILD PREFIX

folder=$(mktemp -d) || exit 1
trap 'rm -r "$folder"' EXIT
mkdir "$folder/build" "$folder/build/meson-logs"
for part in "$1"/*; do
  case $part in
    */meson-logs) ;;
    */meson-private) cp -r "$part" "$folder/build" ;;
    *) ln -s "$part" "$folder/build" ;;
  esac
done
export DESTDIR="$folder/root"
prefix=$DESTDIR$2
failed=0

complain()
{
  echo "test_install: $1" >&2
  failed=1
}

meson install -C "$folder/build" --no-rebuild --quiet || complain "cannot install"
diff -r "$1/fronthash.lv2" "$prefix/lib/lv2/fronthash.lv2" || complain "the bundle installed is not the one built"
"$prefix/bin/fronthash" --version >/dev/null || complain "the command installed does not run"
for file in bash-completion/completions/fronthash fish/vendor_completions.d/fronthash.fish man/man1/fronthash.1 \
  zsh/site-functions/_fronthash; do
  [ -s "$prefix/share/$file" ] || complain "share/$file is missing"
done
[ -s "$prefix/lib/systemd/user/fronthash-live@.service" ] || complain "the unit is missing"

(cd "$folder/build" && meson --internal uninstall >"$folder/said") || complain "cannot uninstall"
left=$(find "$DESTDIR" 2>/dev/null)
[ -z "$left" ] || complain "uninstalling leaves $left; it says: $(cat "$folder/said")"
exit $failed
