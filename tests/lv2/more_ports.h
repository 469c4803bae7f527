// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file more_ports.h
/// One control of each flow at the end of the table, an input last. Comes before every file of the plugin in test_appended.

#ifndef FRONTHASH_TESTS_MORE_PORTS_H
#define FRONTHASH_TESTS_MORE_PORTS_H

#define FH_MORE_CONTROLS(X)                                                         \
  X(MORE_METER, more_meter, "More meter", "", FH_METER, FH_KIND_VALUE, -1, 0, 1)    \
  X(MORE_OUTPUT, more_output, "More output", "", FH_OUTPUT, FH_KIND_VALUE, 0, 0, 9) \
  X(MORE_INPUT, more_input, "More input", "", FH_INPUT, FH_KIND_VALUE, -3, 2, 7)

#endif
