# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC
# Shared by tests/demo and tests/run: install what is missing, then build. Source it from the top folder.

say() {
  printf '\n== %s\n' "$*"
}

die() {
  printf '%s: %s\n' "$0" "$*" >&2
  exit 1
}

# Names of the packages of some groups that are not installed
missing_packages() {
  for group; do
    for package in $(sed -n "s/^$group //p" tests/packages); do
      dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null | grep -qx installed || echo "$package"
    done
  done
}

# Install what is missing of some groups, with apt-get, as root or through sudo
install_packages() {
  if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
    echo "No apt-get here: install what stands for the Debian packages in tests/packages yourself."
    return 0
  fi
  missing=$(missing_packages "$@" | tr '\n' ' ')
  [ -n "$missing" ] || return 0

  as_root=
  if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || die "missing packages; as root, run: apt-get install $missing"
    as_root=sudo
  fi
  say "Installing $missing"
  # shellcheck disable=SC2086 # one word a package
  {
    $as_root apt-get update -q &&
      $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends $missing
  } || die "apt-get could not install: $missing"
  [ ! -f build/build.ninja ] || meson setup --wipe build >/dev/null # look again for what is here now
}

build() {
  say "Building"
  if [ ! -f build/build.ninja ]; then
    log=$(meson setup build 2>&1) || die "meson setup failed:
$log"
  fi
  meson compile -C build || die "the build failed"
}
