// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static const struct {
  const char* key;
  const char* heading;
  int         decimals;
} measures[FH_MEASURE_COUNT] = {
#define FH_X(ENUM, key, heading, decimals) {#key, heading, decimals},
  FH_MEASURES(FH_X)
#undef FH_X
};

static void
print_heading(void)
{
  printf("%-14s %-12s %4s %5s", "scene", "condition", "seed", "ratio");
  for (int m = 0; m < FH_MEASURE_COUNT; ++m) {
    printf(" %6s", measures[m].heading);
  }
  printf("\n");
}

static void
print_value(const double value, const int decimals)
{
  if (isnan(value)) {
    printf(" %6s", "-");
  } else {
    printf(" %6.*f", decimals, value);
  }
}

double
fh_table_mean(const FhResult* const results, const size_t count, const FhCondition condition, const FhMeasure measure)
{
  double sum = 0.0;
  size_t n   = 0;
  for (size_t i = 0; i < count; ++i) {
    if (results[i].done && results[i].request.condition == condition && !isnan(results[i].score.value[measure])) {
      sum += results[i].score.value[measure];
      ++n;
    }
  }
  return n ? sum / (double)n : (double)NAN;
}

static int
by_size(const void* const a, const void* const b)
{
  const double x = *(const double*)a, y = *(const double*)b;
  return (x > y) - (x < y);
}

static void
print_onsets(const FhResult* const results, const size_t count, const FhCondition condition)
{
  double* const all = (double*)malloc((count * FH_MAX_ONSETS + 1) * sizeof(double));
  size_t        n   = 0;
  for (size_t i = 0; all && i < count; ++i) {
    for (size_t k = 0; results[i].done && results[i].request.condition == condition && k < results[i].score.onset_count; ++k) {
      all[n++] = results[i].score.onset_ms[k];
    }
  }
  if (n) {
    qsort(all, n, sizeof(double), by_size);
    printf("  %zu onsets: median loss %.1f ms, 90 %% under %.1f ms, worst %.1f ms\n", n, all[n / 2], all[n * 9 / 10], all[n - 1]);
  }
  free(all);
}

/// Nothing is broken in a scene
static void
print_faults(const FhResult* const results, const size_t count, const FhCondition condition)
{
  double seconds = 0.0;
  for (size_t i = 0; i < count; ++i) {
    seconds += results[i].done && results[i].request.condition == condition ? results[i].score.fault_s : 0.0;
  }
  if (seconds > 0.0) {
    printf("  a fault was shown for %.2f s, and there is none\n", seconds);
  }
}

/// Half of the 95 % band of a mean over `count` values: Student's t, two-sided (table values from memory; scipy.stats.t.ppf(0.975, n)
/// gives the same), times the standard error
static double
band_of(const double* const values, const size_t count, const double mean)
{
  static const double t[] = {12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262};
  double              sum = 0.0;
  for (size_t i = 0; i < count; ++i) {
    sum += (values[i] - mean) * (values[i] - mean);
  }
  const size_t freedom = count - 1;
  return (freedom <= sizeof(t) / sizeof(t[0]) ? t[freedom - 1] : 2.26) * sqrt(sum / (double)freedom / (double)count);
}

/// Another piece of music is another result: the mean over pieces, and how far to trust it
static void
print_band(const FhResult* const results, const size_t count, const FhCondition condition, const FhMeasure measure)
{
  enum { MOST_SEEDS = 64 };
  uint64_t seeds[MOST_SEEDS];
  double   sums[MOST_SEEDS] = {0.0};
  double   each[MOST_SEEDS] = {0.0};
  size_t   n                = 0;
  double   mean             = 0.0;
  for (size_t i = 0; i < count; ++i) {
    const FhResult* const r = &results[i];
    if (!r->done || r->request.condition != condition || isnan(r->score.value[measure])) {
      continue;
    }
    size_t s = 0;
    while (s < n && seeds[s] != r->request.seed) {
      ++s;
    }
    if (s == MOST_SEEDS) {
      return;
    }
    n        = s == n ? n + 1 : n;
    seeds[s] = r->request.seed;
    sums[s] += r->score.value[measure];
    each[s] += 1.0;
  }
  for (size_t s = 0; s < n; ++s) {
    sums[s] /= each[s];
    mean += sums[s] / (double)n;
  }
  if (n > 1) {
    printf("  %s %.*f within %.*f over %zu pieces (95 %% band)\n", measures[measure].heading, measures[measure].decimals, mean,
           measures[measure].decimals, band_of(sums, n, mean), n);
  }
}

static void
print_means(const FhResult* const results, const size_t count)
{
  printf("means\n");
  print_heading();
  for (int c = 0; c < FH_CONDITIONS; ++c) {
    size_t n = 0;
    for (size_t i = 0; i < count; ++i) {
      n += results[i].done && results[i].request.condition == (FhCondition)c;
    }
    if (!n) {
      continue;
    }
    printf("%3zu scenes     %-12s %4s %5s", n, fh_condition_names[c], "", "");
    for (int m = 0; m < FH_MEASURE_COUNT; ++m) {
      print_value(fh_table_mean(results, count, (FhCondition)c, (FhMeasure)m), measures[m].decimals);
    }
    printf("\n");
    const double before = fh_table_mean(results, count, (FhCondition)c, FH_MEASURE_BEFORE);
    const double gained = fh_table_mean(results, count, (FhCondition)c, FH_MEASURE_GAINED);
    const double ideal  = fh_table_mean(results, count, (FhCondition)c, FH_MEASURE_IDEAL_REF) - before;
    const double gate   = fh_table_mean(results, count, (FhCondition)c, FH_MEASURE_GATE_REF);
    if (!isnan(ideal)) {
      printf("  gained %.2f dB, %.0f %% of the ideal gains' %.2f dB", gained, 100.0 * gained / ideal, ideal);
      isnan(gate) ? printf("\n") : printf("; the best fixed gate gains %.2f dB\n", gate - before);
    }
    print_band(results, count, (FhCondition)c, FH_MEASURE_MISSED);
    print_band(results, count, (FhCondition)c, FH_MEASURE_FALSE_OPEN);
    print_onsets(results, count, (FhCondition)c);
    print_faults(results, count, (FhCondition)c);
  }
}

void
fh_table_print(const FhResult* const results, const size_t count, const bool brief)
{
  if (!brief) {
    print_heading();
  }
  for (size_t i = 0; i < count && !brief; ++i) {
    const FhSceneRequest* const q = &results[i].request;
    printf("%-14s %-12s %4llu %5.1f", q->spec->name, fh_condition_names[q->condition], (unsigned long long)q->seed, q->ratio);
    for (int m = 0; m < FH_MEASURE_COUNT && results[i].done; ++m) {
      print_value(results[i].score.value[m], measures[m].decimals);
    }
    printf(results[i].done ? "\n" : " failed\n");
  }
  print_means(results, count);
}

void
fh_table_print_json(const FhResult* const results, const size_t count)
{
  printf("[");
  for (size_t i = 0; i < count; ++i) {
    const FhSceneRequest* const q = &results[i].request;
    printf("%s\n{\"scene\": \"%s\", \"condition\": \"%s\", \"seed\": %llu, \"ratio_db\": %g, \"rate\": %g, \"sound\": \"%s\", \"defaults\": %s", i ? "," : "",
           q->spec->name, fh_condition_names[q->condition], (unsigned long long)q->seed, q->ratio, q->rate,
           q->sampled ? fh_font_names[q->font] : "synthesis", results[i].defaults ? "true" : "false");
    for (int m = 0; m < FH_MEASURE_COUNT && results[i].done; ++m) {
      const double v = results[i].score.value[m];
      isnan(v) ? printf(", \"%s\": null", measures[m].key) : printf(", \"%s\": %.4f", measures[m].key, v);
    }
    printf("}");
  }
  printf("\n]\n");
}
