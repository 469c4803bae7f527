// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file test_address.c
/// Where `live` listens: this machine alone unless told otherwise, and one clear refusal of what is no address.

#undef NDEBUG

#include "command/base/complain.h"
#include "command/base/complain.h"
#include "command/live/address.h"
#include "said.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/// Addresses are written as RFC 3986, section 3.2.2, has them
static void
test_address(void** const state)
{
  (void)state;
  static const struct {
    const char* text;
    const char* means; ///< NULL: refused
    bool        here;
  } rows[] = {
    {"9017", "127.0.0.1:9017", true},
    {"127.0.0.5:1", "127.0.0.5:1", true},
    {"192.0.2.7:65535", "192.0.2.7:65535", false},
    {"0.0.0.0:80", "0.0.0.0:80", false},
    {"[::1]:9017", "[::1]:9017", true},
    {"[2001:db8::7]:80", "[2001:db8::7]:80", false},
    {"[::]:80", "[::]:80", false},
    {"", NULL, false},
    {"0", NULL, false},
    {"65536", NULL, false},
    {"80x", NULL, false},
    {":80", NULL, false},
    {"rig:80", NULL, false},
    {"[::1]", NULL, false},
    {"]:80", NULL, false},
    {"192.0.2.7:", NULL, false},
    {"1111:2222:3333:4444:5555:6666:7777:8888:9999:1111:80", NULL, false},
  };
  char said[SAID_MAX];
  fh_complain_to(keep_line, said);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    FhAddress  address;
    char       text[64];
    const bool ok = fh_address_read("osc", rows[i].text, &address);
    if (ok != (rows[i].means != NULL) || (ok && (strcmp(fh_address_text(&address, text, sizeof(text)), rows[i].means) != 0 ||
                                                 fh_address_is_here(&address) != rows[i].here))) {
      fail_msg("'%s' is taken wrongly", rows[i].text);
    }
  }
  fh_complain_to(NULL, NULL);
  assert_non_null(strstr(said, "--osc takes a port"));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_address)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
