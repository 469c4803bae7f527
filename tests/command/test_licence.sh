#!/bin/sh
# SPDX-FileCopyrightText: 2026 The Fronthash contributors
# SPDX-License-Identifier: ISC

# What the built command is linked with may all be passed on under the ISC licence: each library by name, with its licence as its
# own package states it (/usr/share/doc/PACKAGE/copyright). A library that is not here must be looked at first.
# Usage: test_licence.sh COMMAND

failed=0
for library in $(readelf -d "$1" | sed -n 's/.*(NEEDED).*\[\(.*\)\]/\1/p'); do
  case $library in
    liblilv-0.so.*) ;;                       # ISC
    libkissfft-float.so.*) ;;                # BSD, three clauses
    libsndfile.so.* | libcairo.so.*) ;;      # LGPL, linked at run time
    libjack.so.* | liblo.so.* | libmicrohttpd.so.*) ;; # likewise
    libc.so.* | libm.so.* | ld-linux*) ;;    # LGPL, part of the system
    libasan.so.* | libubsan.so.* | libtsan.so.* | libgcc_s.so.*) ;; # GPL with the exception for what is built; test builds
    *) echo "test_licence: $library is not known to be free to pass on" >&2; failed=1 ;;
  esac
done
"$1" --version | grep -q 'ISC licence' || { echo "test_licence: --version does not name the licence" >&2; failed=1; }
exit $failed
