#pragma once
// Whether what a fit leaves is noise.

#include <cstddef>
#include <span>

namespace sagbench::analysis {

struct Whiteness {
  double lag_1 = 0.0;      // autocorrelation from one residual to the next
  double statistic = 0.0;  // Q
  double p_value = 1.0;    // how often noise would give at least that
};

/// Test of G. M. Ljung and G. E. P. Box, Biometrika 65 (1978) 297, eq. (2.2): Q = n (n + 2) sum of
/// r_k^2 / (n - k) over `lags` is distributed as chi squared. The mean is taken to be 0, as a fit
/// leaves it. A linear fit of p `parameters` leaves residuals whose products of lag k add up to
/// -trace(H S_k) times the variance instead of 0, with its hat matrix H shifted by k, and squares
/// to n - p times; where it follows courses slower than the lags, the trace is p: r_k is taken from
/// -p / (n - p). Residuals that are all 0, or not more than `lags` + p, say nothing: the p-value is
/// 1.
Whiteness whiteness(std::span<const double> residuals, std::size_t lags = 20,
                    std::size_t parameters = 0);

}  // namespace sagbench::analysis
