// SPDX-FileCopyrightText: 2026 The Fronthash contributors
// SPDX-License-Identifier: ISC

/// @file statistics.h
/// How sure a level difference can be: the ratio of two noise powers measured over bandwidth times time.
///
/// `bt` is bandwidth (Hz) times averaging time (s): the number of independent complex samples. The ratio of two
/// independent noise powers then follows the F distribution with 2 bt and 2 bt degrees of freedom.
/// Thread: any; no state.

#ifndef FRONTHASH_COMMAND_STATISTICS_H
#define FRONTHASH_COMMAND_STATISTICS_H

/// Regularised incomplete beta function I_x(a, b), a and b above 0, x in 0..1
/// (continued fraction, NIST Digital Library of Mathematical Functions 8.17.22, by Lentz's method)
double fh_incomplete_beta(double a, double b, double x);

/// Second derivative of ln gamma, x above 0 (recurrence and asymptotic series, same library 5.15.5 and 5.15.8)
double fh_trigamma(double x);

/// Cumulative F distribution, and its inverse (0 < p < 1)
double fh_f_cdf(double ratio, double n1, double n2);
double fh_f_quantile(double p, double n1, double n2);

/// Standard deviation of the ratio in dB, exact for Gaussian noise; near 6.14 / sqrt(bt)
double fh_ratio_spread(double bt);

/// Ratio in dB that noise alone passes with probability `false_alarm`
double fh_ratio_threshold(double bt, double false_alarm);

/// Step in dB that passes that threshold with probability `detection`
double fh_ratio_step(double bt, double false_alarm, double detection);

/// Upper quantile of the normal distribution: z with P(Z > z) = p
double fh_normal_quantile(double p);

#endif
