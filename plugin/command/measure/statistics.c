// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

#include "command/measure/statistics.h"

#include <math.h>

#define FH_TINY 1e-300
#define FH_DB 4.342944819032518 // 10 / ln 10

/// Continued fraction of the incomplete beta function, good for x < (a + 1) / (a + b + 2)
static double
beta_fraction(const double a, const double b, const double x)
{
  double c = 1.0;
  double d = 1.0 - (a + b) * x / (a + 1.0);
  d        = 1.0 / (fabs(d) < FH_TINY ? FH_TINY : d);
  double f = d;
  for (int m = 1; m < 1000; ++m) {
    const double even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
    const double odd  = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
    double       step = 1.0;
    for (int half = 0; half < 2; ++half) {
      const double term = half ? odd : even;
      d                 = 1.0 + term * d;
      d                 = 1.0 / (fabs(d) < FH_TINY ? FH_TINY : d);
      c                 = 1.0 + term / c;
      c                 = fabs(c) < FH_TINY ? FH_TINY : c;
      step              = c * d;
      f *= step;
    }
    if (fabs(step - 1.0) < 1e-15) {
      break;
    }
  }
  return f;
}

double
fh_incomplete_beta(const double a, const double b, const double x)
{
  if (x <= 0.0 || x >= 1.0) {
    return x <= 0.0 ? 0.0 : 1.0;
  }
  const double front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x));
  return x < (a + 1.0) / (a + b + 2.0) ? front * beta_fraction(a, b, x) / a
                                       : 1.0 - front * beta_fraction(b, a, 1.0 - x) / b;
}

double
fh_trigamma(double x)
{
  double sum = 0.0;
  for (; x < 12.0; x += 1.0) {
    sum += 1.0 / (x * x);
  }
  const double y = 1.0 / (x * x);
  return sum + 1.0 / x + y / 2.0 + y / x * (1.0 / 6.0 - y * (1.0 / 30.0 - y * (1.0 / 42.0 - y / 30.0)));
}

double
fh_f_cdf(const double ratio, const double n1, const double n2)
{
  return ratio <= 0.0 ? 0.0 : fh_incomplete_beta(n1 / 2.0, n2 / 2.0, n1 * ratio / (n1 * ratio + n2));
}

double
fh_f_quantile(const double p, const double n1, const double n2)
{
  double low  = -50.0;
  double high = 50.0; // ln of the ratio
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    if (fh_f_cdf(exp(middle), n1, n2) < p) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return exp(0.5 * (low + high));
}

double
fh_ratio_spread(const double bt)
{
  return FH_DB * sqrt(2.0 * fh_trigamma(bt));
}

double
fh_ratio_threshold(const double bt, const double false_alarm)
{
  return FH_DB * log(fh_f_quantile(1.0 - false_alarm, 2.0 * bt, 2.0 * bt));
}

double
fh_ratio_step(const double bt, const double false_alarm, const double detection)
{
  const double missed = fh_f_quantile(1.0 - detection, 2.0 * bt, 2.0 * bt);
  return fh_ratio_threshold(bt, false_alarm) - FH_DB * log(missed);
}

double
fh_normal_quantile(const double p)
{
  double low  = -40.0;
  double high = 40.0;
  for (int i = 0; i < 100; ++i) {
    const double middle = 0.5 * (low + high);
    if (0.5 * erfc(middle / sqrt(2.0)) > p) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return 0.5 * (low + high);
}
