// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

// Hosts cut the sound as they like, and connect one buffer to several ports. Neither may change a single bit:
// LV2 core lets run() be asked for any number of frames, and ports share a buffer unless inPlaceBroken is said.

#include "host.h"
#include "take.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define RATE 48000.0

/// Controls that make every part work: learning, lookahead, delay, short hold
static void
busy(FhHost* const host)
{
  fh_host_run(host, 0);
  host->controls[FH_LEARN] = FH_LEARN_AMBIENT;
  host->controls[FH_LOOKAHEAD] = 3.0f;
  host->controls[FH_AMBIENT_DELAY] = 1.0f;
  host->controls[FH_HOLD] = 20.0f;
  host->controls[FH_TRACKING_TIME] = 1.0f;
}

/// Render the take in blocks; returns the outputs one after the other, then all output controls
static float*
render(const FhVariant* const variant, const FhTake* const take, const uint32_t block, const bool is_busy)
{
  FhHost host;
  fh_host_open(&host, variant, RATE);
  if (is_busy) {
    busy(&host);
  }
  const float* ins[3] = {take->close[0], take->ambient};
  if (variant->closes > 1) {
    ins[1] = take->close[1];
    ins[2] = take->ambient;
  }

  float* const result = fh_samples(take->frames * variant->outs + FH_CONTROL_COUNT);
  float* const outs[2] = {result, result + take->frames};
  fh_host_render(&host, ins, outs, take->frames, block);
  memcpy(result + take->frames * variant->outs, host.controls, sizeof(host.controls));
  fh_host_close(&host);
  return result;
}

static void
test_cuts(void** const state)
{
  (void)state;
  static const uint32_t blocks[] = {1, 3, 17, 64, 4096, 0};

  FhTake take = fh_take_make(RATE, 2.5, 1u);
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    const FhVariant* const variant = &fh_variants[v];
    const size_t           size = (take.frames * variant->outs + FH_CONTROL_COUNT) * sizeof(float);
    for (int is_busy = 0; is_busy < 2; ++is_busy) {
      float* const whole = render(variant, &take, take.frames, is_busy);
      for (size_t b = 0; b < sizeof(blocks) / sizeof(blocks[0]); ++b) {
        float* const cut = render(variant, &take, blocks[b], is_busy);
        assert_memory_equal(cut, whole, size);
        free(cut);
      }
      // The comparison would be worth nothing if nothing happened
      assert_memory_not_equal(whole, take.close[0], take.frames * sizeof(float));
      free(whole);
    }
  }
  fh_take_free(&take);
}

/// No frames at all: nothing audio is touched, every output control is written
static void
test_no_frames(void** const state)
{
  (void)state;
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    FhHost host;
    fh_host_open(&host, &fh_variants[v], RATE);
    host.controls[FH_LOOKAHEAD] = 5.0f;
    float guard = 0.25f;
    for (uint32_t i = 0; i < fh_host_audio(&host); ++i) {
      fh_host_connect(&host, i, &guard);
    }
    for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
      host.controls[i] = fh_controls[i].flow == FH_INPUT ? host.controls[i] : NAN;
    }
    fh_host_run(&host, 0);
    assert_true(guard == 0.25f);
    for (unsigned i = 0; i < FH_CONTROL_COUNT; ++i) {
      assert_true(host.controls[i] >= fh_controls[i].min && host.controls[i] <= fh_controls[i].max);
    }
    assert_true(host.controls[FH_LATENCY] == 240.0f);
    fh_host_close(&host);
  }
}

/// Run with port i on buffer assignment[i], each buffer filled by its first input port's content
static void
run_shared(const FhVariant* const variant, const FhTake* const take, const unsigned* const assignment, float** buffers)
{
  const uint32_t     in_count = variant->closes + 1u;
  const float* const content[3] = {
    take->close[0], variant->closes > 1 ? take->close[1] : take->ambient, take->ambient};

  FhHost host;
  fh_host_open(&host, variant, RATE);
  busy(&host);
  const uint32_t block = 512;
  for (uint32_t done = 0; done + block <= take->frames; done += block) {
    for (uint32_t i = 0; i < fh_host_audio(&host); ++i) {
      fh_host_connect(&host, i, buffers[assignment[i]] + done);
    }
    for (uint32_t i = in_count; i-- > 0;) {
      memcpy(buffers[assignment[i]] + done, content[i] + done, block * sizeof(float));
    }
    fh_host_run(&host, block);
  }
  fh_host_close(&host);
}

/// One way to share buffers between ports, against buffers of their own with the same content
static void
check_shared(const FhVariant* const variant, const FhTake* const take, const unsigned* const shared)
{
  const uint32_t in_count = variant->closes + 1u;
  const uint32_t count = fh_first_control(variant);
  float*         own[12];
  for (size_t i = 0; i < 12; ++i) {
    own[i] = fh_samples(take->frames);
  }
  float** const together = own + 6;

  // Inputs that share a buffer hear the same: make that so in the separate run, too
  FhTake same = *take;
  for (uint32_t i = 0; i < in_count; ++i) {
    for (uint32_t k = 0; k < i; ++k) {
      if (shared[i] == shared[k]) {
        float* const source = k == 0 ? same.close[0] : same.close[1];
        *(i == variant->closes ? &same.ambient : &same.close[1]) = source;
        break;
      }
    }
  }

  static const unsigned separate[] = {0, 1, 2, 3, 4, 5};
  run_shared(variant, &same, separate, own);
  run_shared(variant, take, shared, together);
  for (uint32_t i = in_count; i < count; ++i) {
    bool is_alone = true;
    for (uint32_t k = in_count; k < count; ++k) {
      is_alone = is_alone && (k == i || shared[k] != shared[i]);
    }
    for (uint32_t n = 0; n < take->frames; ++n) {
      const float got = together[shared[i]][n];
      if (is_alone) {
        assert_true(got == own[i][n]);
      } else { // Two outputs in one buffer: either may be the one that stays
        assert_true(got == own[in_count][n] || got == own[in_count + 1][n]);
      }
    }
  }
  for (size_t i = 0; i < 12; ++i) {
    free(own[i]);
  }
}

/// Every way to share buffers between ports: all set partitions, as restricted growth strings
static void
test_shared_buffers(void** const state)
{
  (void)state;
  FhTake take = fh_take_make(RATE, 0.7, 2u);
  for (size_t v = 0; v < FH_VARIANT_COUNT; ++v) {
    const FhVariant* const variant = &fh_variants[v];
    const uint32_t         count = fh_first_control(variant);
    unsigned               shared[FH_MAX_AUDIO] = {0};
    unsigned               ways = 0;
    for (uint32_t i = 0; i < count;) {
      check_shared(variant, &take, shared);
      ++ways;
      for (i = count - 1; i > 0; --i) {
        unsigned most = 0;
        for (uint32_t k = 0; k < i; ++k) {
          most = shared[k] > most ? shared[k] : most;
        }
        if (shared[i] <= most) {
          ++shared[i];
          break;
        }
        shared[i] = 0;
      }
      if (i == 0) {
        break;
      }
    }
    assert_int_equal(ways, count == 3 ? 5 : count == 4 ? 15 : 52); // Bell numbers, OEIS A000110
  }
  fh_take_free(&take);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_cuts),
    cmocka_unit_test(test_no_frames),
    cmocka_unit_test(test_shared_buffers),
  };
  return cmocka_run_group_tests(tests, fh_bundle_open, fh_bundle_close);
}
