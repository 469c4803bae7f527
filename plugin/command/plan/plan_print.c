// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/base/quantity.h"
#include "command/plan/plan.h"

#include <math.h>

#define FH_COMFORTABLE_MIC 120.0 // dB SPL; above, peaks pass what many microphones take

static const char*
length_text(const double metres)
{
  static char  texts[4][64]; // enough for the lengths of one line
  static int   next;
  char* const  text = texts[next++ % 4];
  return fh_format_length(text, sizeof(texts[0]), metres);
}

static void
print_levels(FILE* const file, const FhPlanFigures* const f)
{
  fprintf(file, "\n%-34s %10s %10s %12s\n", "Levels, sound pressure", "close", "ambient", "difference");
  fprintf(file, "%-34s %7.1f dB %7.1f dB %9.1f dB\n", "  soloist", f->solo_close, f->solo_ambient, f->solo_difference);
  fprintf(file, "%-34s %7.1f dB %7.1f dB %9.1f dB\n", "  field", f->band_close, f->band_ambient, f->band_difference);
  fprintf(file, "%-34s %7.1f dB %7.1f dB\n", "  soloist above field", f->bleed, f->solo_ambient - f->band_ambient);

  fprintf(file, "\nSeparation\n");
  fprintf(file, "  soloist against field            %7.1f dB\n", f->separation);
  fprintf(file, "  excess while the soloist plays   %7.1f dB\n", f->excess);
  fprintf(file, "  needed                           %7.1f dB   (measured: 1 to 2 %% of the soloist are missed; at %.0f dB 5 to 6 %%)\n",
          FH_SEPARATION_GOOD, FH_SEPARATION_THIN);
}

/// Where the gate's phase is so many half turns behind, Hz, to the nearest: there it cancels the dry signal
static double
first_cancelled(const int half_turns)
{
  double hz = 20.0;
  while (fh_split_phase(hz) > -3.14159265358979323846 * half_turns) {
    hz *= 1.002;
  }
  return hz;
}

static void
print_gain_and_delay(FILE* const file, const FhPlan* const plan, const FhPlanFigures* const f)
{
  fprintf(file, "\nAcoustic gain%s\n", isinf(plan->critical) ? " (outdoors)" : " (in the room)");
  fprintf(file, "  possible before feedback         %7.1f dB   (6 dB in hand, %.0f open microphone%s)\n", f->pag,
          plan->open_mics, plan->open_mics > 1.0 ? "s" : "");
  fprintf(file, "  needed for %-21s %7.1f dB   (as if %s away)\n", length_text(plan->listener), f->nag,
          length_text(plan->equivalent));

  fprintf(file, "\nArrival (sound travels %.1f m/s)\n", f->speed);
  fprintf(file, "  soloist to close microphone      %7.1f ms\n", f->solo_close_ms);
  fprintf(file, "  soloist to ambient microphone    %7.1f ms\n", f->solo_ambient_ms);
  fprintf(file, "  field to close microphone        %7.1f ms\n", f->band_close_ms);
  fprintf(file, "  field to ambient microphone      %7.1f ms   (%.1f ms %s)\n", f->band_ambient_ms,
          fabs(f->ambient_lead_ms),
          f->ambient_lead_ms < 0.0 ? "later" : "earlier");
  fprintf(file, "  loudspeaker to close microphone  %7.1f ms\n", f->speaker_mic_ms);
  fprintf(file, "  loudspeaker to listener          %7.1f ms\n", f->speaker_listener_ms);
  fprintf(file, "  soloist to listener              %7.1f ms   (%.1f ms after the loudspeaker)\n", f->solo_listener_ms,
          f->solo_listener_ms - f->speaker_listener_ms);

  fprintf(file, "\nThrough the gate, no latency but phase\n");
  fprintf(file, "  group delay at 60 Hz             %7.1f ms   (%.1f ms at 250 Hz, %.1f ms at 1 kHz)\n", 1000.0 * fh_split_delay(60.0),
          1000.0 * fh_split_delay(250.0), 1000.0 * fh_split_delay(1000.0));
  fprintf(file, "  beside the same channel dry: never; as loud, the two cancel at %.0f, %.0f, %.0f Hz and more\n", first_cancelled(1),
          first_cancelled(3), first_cancelled(5));

  if (!isnan(f->neighbour_ratio)) {
    fprintf(file, "\nNeighbouring microphone, %s away\n", length_text(plan->neighbour));
    fprintf(file, "  ratio of distances               %7.1f : 1 (3 : 1 is the rule)\n", f->neighbour_ratio);
    fprintf(file, "  soloist there                    %7.1f dB below\n", f->neighbour_below);
    fprintf(file, "  response when both are mixed     %+7.1f to %.1f dB\n", f->ripple_peak, f->ripple_dip);
  }
}

static void
print_exposure(FILE* const file, const FhPlanFigures* const f)
{
  char player[2][32];
  char tech[2][32];
  fh_format_hours(player[0], sizeof(player[0]), f->player_niosh);
  fh_format_hours(player[1], sizeof(player[1]), f->player_osha);
  fh_format_hours(tech[0], sizeof(tech[0]), f->tech_niosh);
  fh_format_hours(tech[1], sizeof(tech[1]), f->tech_osha);
  fprintf(file, "\n%-34s %10s %10s %10s\n", "Exposure, hours a day allowed", "level", "NIOSH", "OSHA");
  fprintf(file, "%-34s %7.1f dB %10s %10s\n", "  soloist's ear, at most", f->player_level, player[0], player[1]);
  fprintf(file, "%-34s %7.1f dB %10s %10s\n", "  beside the ambient microphone", f->tech_level, tech[0], tech[1]);
  fprintf(file, "  (the ear: the most measured in marching bands; the field: winds, drums beside you are louder)\n");
}

void
fh_plan_print_advice(FILE* const file, const FhAdvice* const advice)
{
  if (!advice->count) {
    return;
  }
  fprintf(file, "  %s: ", !advice->solves       ? "The most that changes can do"
                              : advice->count == 1 ? "Cheapest change that does it"
                                                   : "Cheapest changes that do it together");
  for (size_t i = 0; i < advice->count; ++i) {
    const char* const link = i == 0 ? "" : i + 1 == advice->count ? " and " : ", ";
    fprintf(file, "%s%s", link, advice->text[i]);
  }
  fprintf(file, ".\n  After it: excess %.1f dB of %.1f dB needed, acoustic gain %.1f dB of %.1f dB needed.\n",
          advice->after.excess, FH_SEPARATION_GOOD, advice->after.pag, advice->after.nag);
}

static void
print_verdict(FILE* const file, const FhPlanFigures* const f, const FhAdvice* const advice)
{
  fprintf(file, "\nVerdict\n  %s: %s (%.1f dB, %.1f dB needed).\n", fh_verdict_phrase(f->verdict), fh_verdict_advice(f->verdict),
          f->excess, FH_SEPARATION_GOOD);
  if (f->pag >= f->nag) {
    fprintf(file, "  Enough acoustic gain: %.1f dB in hand beyond the usual 6 dB.\n", f->pag - f->nag);
  } else {
    fprintf(file, "  Feedback comes first: %.1f dB of gain is missing.\n", f->nag - f->pag);
  }
  fh_plan_print_advice(file, advice);
  if (!advice->count && !advice->solves) {
    fprintf(file, "  None of the changes tried helps: stand elsewhere, or play louder.\n");
  } else if (!advice->count) {
    fprintf(file, "  Nothing to change.\n");
  }
}

void
fh_plan_print_cautions(FILE* const file, const FhPlan* const plan, const FhPlanFigures* const f)
{
  fprintf(file, "\nCautions\n");
  if (fmax(f->player_level, f->tech_level) >= 85.0) {
    fprintf(file, "  Hearing: this is loud enough to harm it. Wear protection, and keep to the shorter time under Exposure.\n");
  }
  if (f->solo_close > FH_COMFORTABLE_MIC) {
    fprintf(file, "  %.0f dB at the close microphone, peaks higher: see that it and the preamplifier take it.\n",
            f->solo_close);
  }
  if (plan->mic_distance < 0.3 && plan->mic_pattern->a < 0.9) {
    fprintf(file, "  A directional microphone this near lifts the low end; cut it at the desk, by ear.\n");
  }
  if (!isnan(f->neighbour_ratio) && f->neighbour_ratio < 3.0) {
    fprintf(file,
            "  The neighbouring microphone is nearer than 3 : 1; mixed together the two will colour each other.\n");
  }
  fprintf(file,
          "  Raise the gain slowly, find feedback at low level, and never point a loudspeaker at a microphone.\n"
          "  Mains outdoors: residual-current protection, dry and covered joints, licensed work, local codes.\n"
          "  Weigh the stands down against wind; lay cables where nobody marches, and cover the crossings.\n"
          "  Levels come from handbook averages: expect several dB either way, and check them with a soundcheck.\n");
}

void
fh_plan_print(FILE* const             file,
              const FhPlan* const     plan,
              const FhPlanFigures* const  figures,
              const FhAdvice* const   advice)
{
  fprintf(file, "%s, %s: %.0f dB at 1 m\n", plan->family->label, plan->dynamic->name, plan->level);
  fprintf(file, "Close: %s at %s, aims %.0f degrees away from the band\n", plan->mic_pattern->name,
          length_text(plan->mic_distance), plan->mic_aim);
  fprintf(file, "Ambient: %s, %s from the soloist at %.0f degrees, aims at %.0f degrees\n", plan->ambient_pattern->name,
          length_text(plan->ambient_distance), plan->ambient_bearing, plan->ambient_aim);
  fprintf(file, "Field: %.0f players from %s on, %.0f dB each at 1 m\n", plan->band_size,
          length_text(plan->band_distance),
          plan->band_level);
  fprintf(file, "Air: %.0f degrees C, %.0f %% humidity\n", plan->celsius, plan->humidity);
  print_levels(file, figures);
  print_gain_and_delay(file, plan, figures);
  print_exposure(file, figures);
  print_verdict(file, figures, advice);
  fh_plan_print_cautions(file, plan, figures);
}
