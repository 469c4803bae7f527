// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/plan/plan.h"

#include <math.h>

#define FH_PI 3.14159265358979323846
#define FH_INTERVAL 2.286  // m between players: four steps at eight to five yards
#define FH_GROUND 3.0      // dB a hard ground adds to sound from afar
#define FH_BAND_FORTE 89.4 // dB at 1 m: mean power of one each of eight wind families at forte (Meyer, from memory)

typedef struct {
  double x, y; ///< m; y grows towards the band
} FhPoint;

typedef struct {
  FhPoint          at;
  double           aim; ///< Bearing, degrees
  const FhPattern* pattern;
} FhMic;

FhPlan
fh_plan_default(const FhFamily* const family)
{
  const FhDynamic* const loud = fh_dynamic_find("loud");
  return (FhPlan){
    .family           = family,
    .dynamic          = loud,
    .level            = family->level,
    .mic_distance     = family->mic_distance,
    .mic_pattern      = fh_pattern_find(family->pattern),
    .mic_aim          = family->aim,
    .ambient_distance = 2.0,
    .ambient_bearing  = 90.0,
    .ambient_pattern  = fh_pattern_find("cardioid"),
    .band_size        = 80.0,
    .band_distance    = 10.0,
    .band_level       = fh_plan_band_level(loud),
    .speaker_mic      = 12.0,
    .speaker_listener = 40.0,
    .listener         = 45.0,
    .equivalent       = 10.0,
    .critical         = (double)INFINITY,
    .open_mics        = 1.0,
    .celsius          = 20.0,
    .humidity         = 60.0,
  };
}

double
fh_plan_band_level(const FhDynamic* const dynamic)
{
  return FH_BAND_FORTE + dynamic->offset;
}

static FhPoint
from_soloist(const double distance, const double bearing)
{
  return (FhPoint){distance * sin(bearing * FH_PI / 180.0), distance * cos(bearing * FH_PI / 180.0)};
}

static FhMic
close_mic(const FhPlan* const plan)
{
  // It points at the soloist, so it stands on the far side of them from where it aims
  return (FhMic){from_soloist(plan->mic_distance, plan->mic_aim + 180.0), plan->mic_aim, plan->mic_pattern};
}

static FhMic
ambient_mic(const FhPlan* const plan)
{
  return (FhMic){from_soloist(plan->ambient_distance, plan->ambient_bearing), plan->ambient_aim, plan->ambient_pattern};
}

/// Level from a source of 0 dB at 1 m, radius 0, with the air between
static double
gain_from(const FhPlan* const plan, const FhMic* const mic, const FhPoint source)
{
  const double dx       = source.x - mic->at.x;
  const double dy       = source.y - mic->at.y;
  const double distance = fmax(hypot(dx, dy), 0.1);
  const double bearing  = atan2(dx, dy) * 180.0 / FH_PI;
  const double key      = sqrt(plan->family->region[0] * plan->family->region[1]);
  const double air      = fh_air_absorption(key, plan->celsius, plan->humidity) * distance;
  return fh_distance_gain(distance, 0.0) - air + fh_pattern_gain(mic->pattern, bearing - mic->aim);
}

/// Players in a row: three times as many as rows
static int
columns_of(const FhPlan* const plan)
{
  return (int)ceil(sqrt(3.0 * (double)lround(plan->band_size)));
}

void
fh_plan_block(const FhPlan* const plan, double* const width, double* const depth)
{
  const int columns = columns_of(plan);
  *width            = FH_INTERVAL * (fmin(columns, plan->band_size) - 1.0);
  *depth            = FH_INTERVAL * (ceil(plan->band_size / columns) - 1.0);
}

/// Level of the whole band at a microphone, dB SPL
static double
band_at(const FhPlan* const plan, const FhMic* const mic)
{
  const int players = (int)lround(plan->band_size);
  const int columns = columns_of(plan);
  double    power   = 0.0;
  for (int i = 0; i < players; ++i) {
    const int     row  = i / columns;
    const int     left = players - row * columns;
    const int     wide = left < columns ? left : columns; // the last row is centred, too
    const FhPoint at   = {plan->band_aside + (i % columns - 0.5 * (wide - 1)) * FH_INTERVAL, plan->band_distance + row * FH_INTERVAL};
    power += pow(10.0, gain_from(plan, mic, at) / 10.0);
  }
  return plan->band_level + FH_GROUND + 10.0 * log10(power);
}

static void
compute_levels(const FhPlan* const plan, FhPlanFigures* const f)
{
  const FhMic  close   = close_mic(plan);
  const FhMic  ambient = ambient_mic(plan);
  const double radius  = plan->family->radius;
  const double facing  = plan->ambient_bearing + 180.0 - plan->ambient_aim; // soloist off the ambient axis

  f->solo_close   = plan->level + fh_distance_gain(plan->mic_distance, radius) +
                  fh_pattern_gain(plan->mic_pattern, plan->mic_angle);
  f->solo_ambient = plan->level + fh_distance_gain(plan->ambient_distance, radius) +
                    fh_pattern_gain(plan->ambient_pattern, facing);
  f->band_close      = band_at(plan, &close);
  f->band_ambient    = band_at(plan, &ambient);
  f->solo_difference = f->solo_close - f->solo_ambient;
  f->band_difference = f->band_close - f->band_ambient;
  f->separation      = f->solo_difference - f->band_difference;
  f->bleed           = f->solo_close - f->band_close;
  // The pickup is predicted from all the ambient microphone hears, the soloist included
  f->excess = fh_level_sum(f->solo_close, f->band_close) -
              (f->band_difference + fh_level_sum(f->solo_ambient, f->band_ambient));
}

static FhVerdict
judge(const FhPlanFigures* const f)
{
  // Nothing has been learnt yet, so that there is no opening line
  const double rise = fh_level_sum(f->solo_close, f->band_close) - f->band_close;
  return fh_verdict(&(FhStanding){f->excess, rise, FH_VERDICT_UNKNOWN, false});
}

static void
compute_delays(const FhPlan* const plan, FhPlanFigures* const f)
{
  const FhMic  close   = close_mic(plan);
  const FhMic  ambient = ambient_mic(plan);
  const double ms      = 1000.0 / fh_speed_of_sound(plan->celsius);

  f->speed               = fh_speed_of_sound(plan->celsius);
  f->solo_close_ms       = plan->mic_distance * ms;
  f->solo_ambient_ms     = plan->ambient_distance * ms;
  f->band_close_ms       = hypot(close.at.x, plan->band_distance - close.at.y) * ms;
  f->band_ambient_ms     = hypot(ambient.at.x, plan->band_distance - ambient.at.y) * ms;
  f->ambient_lead_ms     = f->band_close_ms - f->band_ambient_ms;
  f->speaker_mic_ms      = plan->speaker_mic * ms;
  f->speaker_listener_ms = plan->speaker_listener * ms;
  f->solo_listener_ms    = plan->listener * ms;
}

static void
compute_exposure(const FhPlan* const plan, FhPlanFigures* const f)
{
  const FhPattern* const omni    = fh_pattern_find("omni");
  const FhMic            ear     = {{0.0, 0.0}, 0.0, omni};
  const FhMic            ambient = {ambient_mic(plan).at, 0.0, omni};
  const double           radius  = plan->family->radius;
  const double           full    = plan->family->level + fh_dynamic_find("full")->offset;

  // At their own ear a player hears far more than the distance from bell or bars gives: what was measured there
  f->player_level = fh_level_sum(plan->family->ear + plan->level - full, band_at(plan, &ear));
  f->tech_level   =
    fh_level_sum(plan->level + fh_distance_gain(plan->ambient_distance, radius), band_at(plan, &ambient));
  f->player_niosh = fh_niosh_hours(f->player_level);
  f->player_osha  = fh_osha_hours(f->player_level);
  f->tech_niosh   = fh_niosh_hours(f->tech_level);
  f->tech_osha    = fh_osha_hours(f->tech_level);
}

void
fh_plan_compute(const FhPlan* const plan, FhPlanFigures* const figures)
{
  compute_levels(plan, figures);
  figures->verdict = judge(figures);
  compute_delays(plan, figures);
  compute_exposure(plan, figures);
  figures->pag = fh_potential_gain(plan->listener,
                                   plan->speaker_mic,
                                   plan->mic_distance,
                                   plan->speaker_listener,
                                   plan->open_mics,
                                   plan->critical);
  figures->nag = fh_needed_gain(plan->listener, plan->equivalent, plan->critical);

  figures->neighbour_ratio = figures->neighbour_below = (double)NAN;
  figures->ripple_peak = figures->ripple_dip = (double)NAN;
  if (plan->neighbour > 0.0) {
    figures->neighbour_ratio = plan->neighbour / plan->mic_distance;
    figures->neighbour_below = 20.0 * log10(figures->neighbour_ratio);
    fh_comb_ripple(figures->neighbour_below, &figures->ripple_peak, &figures->ripple_dip);
  }
}
