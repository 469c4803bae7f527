// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "desk.h"

#include "../dsp/check.h"

FhModel m;
Write   writes[MAX_WRITES];
int     count;
int     held;

static void
on_write(void* const data, const FhControl control, const float value)
{
  (void)data;
  writes[count % MAX_WRITES].control = control;
  writes[count % MAX_WRITES].value   = value;
  ++count;
}

static void
on_touch(void* const data, const FhControl control, const bool grabbed)
{
  (void)data;
  (void)control;
  held += grabbed ? 1 : -1;
}

int
start(void** const state)
{
  (void)state;
  fh_model_init(&m, (FhHost){on_write, on_touch, NULL}, 100.0);
  count = held = 0;
  // Values of our own, so that the tests do not hang on defaults
  m.v[FH_OPEN_MARGIN] = 3.0f;
  m.v[FH_HOLD]        = 150.0f;
  m.v[FH_RELEASE]     = 80.0f;
  return 0;
}

int
item_of(const FhControl control)
{
  int item = 0;
  while (item < FH_ITEM_COUNT && fh_items[item].control != control) {
    ++item;
  }
  assert_true(item < FH_ITEM_COUNT);
  return item;
}

void
pass(const double seconds)
{
  const double end = m.now + seconds;
  while (m.now < end) {
    fh_model_tick(&m, m.now + 0.033);
  }
}
