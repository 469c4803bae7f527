// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Hosts that ask for what others do not: rates out of range, and running on after deactivate and activate.
// LV2 core: activate() resets all state but what ports and the state extension hold.

#include "host.h"
#include "take.h"

#include <lv2/log/log.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/// What the plugin told the host's log
typedef struct {
  char     text[256];
  LV2_URID type;
  int      lines;
} Logged;

LV2_LOG_FUNC(3, 0)
static int
keep_values(const LV2_Log_Handle handle, const LV2_URID type, const char* const format, va_list values)
{
  Logged* const logged = (Logged*)handle;
  ++logged->lines;
  logged->type = type;
  return vsnprintf(logged->text, sizeof(logged->text), format, values);
}

LV2_LOG_FUNC(3, 4)
static int
keep(const LV2_Log_Handle handle, const LV2_URID type, const char* const format, ...)
{
  va_list values;
  va_start(values, format);
  const int count = keep_values(handle, type, format, values);
  va_end(values);
  return count;
}

/// Out of range: no instance, which LV2 has hosts tell their user (lv2core.ttl, lv2.h: instantiate() returns NULL for failure),
/// and one line of the type log:Error that names the rate; without a log no instance either. At the ends: an instance, and no line.
static void
test_rates(void** const state)
{
  (void)state;
  static const struct {
    double      rate;
    const char* said; ///< NULL where it runs
  } rows[] = {{192000.0, NULL},   {8000.0, NULL},      {192001.0, "192001 Hz"}, {352800.0, "352800 Hz"}, {384000.0, "384000 Hz"},
              {768000.0, "768000 Hz"}, {7999.0, "7999 Hz"}, {0.0, " 0 Hz"},    {-48000.0, "-48000 Hz"}, {1e30, "1e+30 Hz"},
              {INFINITY, "inf"},  {NAN, "nan"}};
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    for (size_t r = 0; r < sizeof(rows) / sizeof(rows[0]); ++r) {
      Logged                   logged   = {.lines = 0};
      LV2_Log_Log              log      = {&logged, keep, keep_values};
      const LV2_Feature        map      = {LV2_URID__map, fh_map()};
      const LV2_Feature        to_log   = {LV2_LOG__log, &log};
      const LV2_Feature* const all[]    = {&map, &to_log, NULL};
      const LilvPlugin* const  plugin   = fh_bundle_plugin(&fh_variants[v]);
      LilvInstance* const      silent   = lilv_plugin_instantiate(plugin, rows[r].rate, NULL);
      LilvInstance* const      instance = lilv_plugin_instantiate(plugin, rows[r].rate, all);
      assert_int_equal(instance != NULL, rows[r].said == NULL);
      assert_int_equal(silent != NULL, rows[r].said == NULL);
      assert_int_equal(logged.lines, rows[r].said ? 1 : 0);
      if (rows[r].said) {
        assert_int_equal(logged.type, fh_map()->map(NULL, LV2_LOG__Error));
        assert_non_null(strstr(logged.text, rows[r].said));
        assert_non_null(strstr(logged.text, fh_variants[v].uri));
        assert_true(strchr(logged.text, '\n') == logged.text + strlen(logged.text) - 1); // One line
      }
      lilv_instance_free(instance);
      lilv_instance_free(silent);
    }
  }
}

#define RATE 48000.0
#define BEFORE 20005u ///< Frames up to deactivate(), in the middle of a tick

/// Deactivated and activated again, nothing of the sound before comes out, with any lookahead: with what came before the output
/// is, bit by bit, that of a host that never played it. LV2 has activate() reset everything but what the host keeps (lv2.h).
static void
test_no_tail(void** const state)
{
  (void)state;
  FhTake       take   = fh_take_make(RATE, 1.5, 21u);
  float* const out[2] = {fh_samples(take.frames), fh_samples(take.frames)};
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    for (int ahead = 0; ahead <= 10; ahead += 5) {
      const FhVariant* const variant = &fh_variants[v];
      const bool             is_pair = variant->closes > 1;
      const float* const     ins[3]  = {take.close[0], is_pair ? take.close[1] : take.ambient, take.ambient};
      for (int is_again = 0; is_again < 2; ++is_again) {
        float* const outs[2] = {out[is_again], NULL};
        FhHost       host;
        fh_host_open(&host, variant, RATE);
        host.controls[FH_LOOKAHEAD] = (float)ahead;
        host.controls[FH_TRACKING]  = 0.0f; // What was found before is kept, and nothing is to be found
        for (int i = 0; i < is_again; ++i) {
          fh_host_render(&host, ins, outs, BEFORE, 333);
          lilv_instance_deactivate(host.instance);
          lilv_instance_activate(host.instance);
        }
        fh_host_render(&host, ins, outs, take.frames, 333);
        fh_host_close(&host);
      }
      assert_memory_equal(out[1], out[0], take.frames * sizeof(float));
      for (uint32_t n = 0; n < (uint32_t)ahead * 48u; ++n) {
        assert_true(out[1][n] == 0.0f);
      }
    }
  }
  free(out[0]);
  free(out[1]);
  fh_take_free(&take);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_rates),
    cmocka_unit_test(test_no_tail),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
