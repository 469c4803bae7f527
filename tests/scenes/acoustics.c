// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "acoustics.h"

#include <math.h>

#define PI 3.14159265358979323846
#define TAPS 16
#define CENTRE 7 // the tap that holds a whole-sample delay
#define POINTS 64

FhPoint
fh_direction(const double x, const double y, const double z)
{
  const double r = sqrt(x * x + y * y + z * z);
  return (FhPoint){x / r, y / r, z / r};
}

double
fh_speed_of_sound(const double celsius)
{
  return 331.3 * sqrt(1.0 + celsius / 273.15);
}

double
fh_air_absorption(const double hertz, const double celsius, const double humidity)
{
  const double kelvin   = celsius + 273.15;
  const double t        = kelvin / 293.15;
  const double saturate = pow(10.0, 4.6151 - 6.8346 * pow(273.16 / kelvin, 1.261));
  const double h        = humidity * saturate; // molar concentration of water vapour, %
  const double oxygen   = 24.0 + 4.04e4 * h * (0.02 + h) / (0.391 + h);
  const double nitrogen = pow(t, -0.5) * (9.0 + 280.0 * h * exp(-4.170 * (pow(t, -1.0 / 3.0) - 1.0)));
  const double f2       = hertz * hertz;
  const double relax    = 0.01275 * exp(-2239.1 / kelvin) / (oxygen + f2 / oxygen) +
                       0.1068 * exp(-3352.0 / kelvin) / (nitrogen + f2 / nitrogen);
  return 8.686 * f2 * (1.84e-11 * sqrt(t) + pow(t, -2.5) * relax);
}

static FhPoint
minus(const FhPoint a, const FhPoint b)
{
  return (FhPoint){a.x - b.x, a.y - b.y, a.z - b.z};
}

static double
dot(const FhPoint a, const FhPoint b)
{
  return a.x * b.x + a.y * b.y + a.z * b.z;
}

double
fh_mic_gain(const FhMic* const mic, const FhPoint from)
{
  const FhPoint d = minus(from, mic->at);
  const double  r = sqrt(dot(d, d));
  return mic->omni + (1.0 - mic->omni) * (r > 0.0 ? dot(d, mic->facing) / r : 1.0);
}

/// A short filter with the delay of `fraction` samples past the centre tap and the air's attenuation, 1 at 0 Hz
static void
design(double taps[TAPS], const double fraction, const double rate, const double metres, const FhField* const field)
{
  double gains[POINTS];
  for (int p = 0; p < POINTS; ++p) {
    const double hertz = (p + 0.5) / POINTS * rate / 2.0;
    gains[p]           = pow(10.0, -fh_air_absorption(hertz, field->celsius, field->humidity) * metres / 20.0);
  }

  double sum = 0.0;
  for (int k = 0; k < TAPS; ++k) {
    const double t = k - CENTRE - fraction;
    const double w = cos(PI * t / (TAPS + 1));
    double       h = 0.0;
    for (int p = 0; p < POINTS; ++p) {
      h += gains[p] * cos(PI * (p + 0.5) / POINTS * t);
    }
    taps[k] = h * w * w;
    sum += taps[k];
  }
  for (int k = 0; k < TAPS; ++k) {
    taps[k] /= sum;
  }
}

void
fh_add_path(const float* const   source,
            float* const         to,
            const size_t         frames,
            const double         rate,
            const double         metres,
            const double         gain,
            const FhField* const field)
{
  const double r     = fmax(metres, 0.06);
  const double delay = r / fh_speed_of_sound(field->celsius) * rate;
  const double whole = floor(delay);
  double       taps[TAPS];
  design(taps, delay - whole, rate, r, field);

  float h[TAPS]; // reversed, so that the inner loop runs forward through memory
  for (int k = 0; k < TAPS; ++k) {
    h[TAPS - 1 - k] = (float)(taps[k] * gain / r);
  }
  const size_t shift = (size_t)fmax(whole - CENTRE, 0.0);
  for (size_t n = shift; n < frames && n < shift + TAPS; ++n) { // the first samples lack a past
    for (size_t k = TAPS - 1 - (n - shift > TAPS - 1 ? TAPS - 1 : n - shift); k < TAPS; ++k) {
      to[n] += h[k] * source[n - shift + k - (TAPS - 1)];
    }
  }
  for (size_t n = shift + TAPS; n < frames; ++n) {
    const float* const x = source + (n - shift - (TAPS - 1));
    float              s[4] = {0.0f, 0.0f, 0.0f, 0.0f};
    for (int k = 0; k < TAPS; k += 4) {
      for (int i = 0; i < 4; ++i) {
        s[i] += h[k + i] * x[k + i];
      }
    }
    to[n] += (s[0] + s[1]) + (s[2] + s[3]);
  }
}

void
fh_add_source(const float* const   source,
              const FhPoint        from,
              const FhMic* const   mic,
              float* const         to,
              const size_t         frames,
              const double         rate,
              const FhField* const field)
{
  const struct {
    FhPoint at;
    double  gain;
  } images[] = {
    {from, 1.0},
    {{from.x, from.y, -from.z}, field->ground},
    {{from.x, 2.0 * field->front_y - from.y, from.z}, field->stands},
    {{from.x, 2.0 * field->back_y - from.y, from.z}, field->stands},
  };
  for (size_t i = 0; i < sizeof(images) / sizeof(images[0]); ++i) {
    const FhPoint d    = minus(images[i].at, mic->at);
    const double  gain = images[i].gain * fh_mic_gain(mic, images[i].at);
    if (fabs(gain) > 1e-4) {
      fh_add_path(source, to, frames, rate, sqrt(dot(d, d)), gain, field);
    }
  }
}
