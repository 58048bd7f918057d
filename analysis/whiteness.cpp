#include "analysis/whiteness.hpp"

#include <boost/math/distributions/chi_squared.hpp>

namespace sagbench::analysis {

Whiteness whiteness(std::span<const double> residuals, std::size_t lags, std::size_t parameters) {
  const std::size_t count = residuals.size();
  double squares = 0.0;
  for (const double residual : residuals) squares += residual * residual;
  if (!(squares > 0.0) || count <= lags + parameters || lags == 0) return {};
  const double taken = static_cast<double>(parameters) / static_cast<double>(count - parameters);
  Whiteness found;
  for (std::size_t lag = 1; lag <= lags; ++lag) {
    double products = 0.0;
    for (std::size_t i = lag; i < count; ++i) products += residuals[i] * residuals[i - lag];
    const double correlation = products / squares + taken;
    if (lag == 1) found.lag_1 = correlation;
    found.statistic += correlation * correlation / static_cast<double>(count - lag);
  }
  const auto n = static_cast<double>(count);
  found.statistic *= n * (n + 2.0);
  const boost::math::chi_squared distribution(static_cast<double>(lags));
  found.p_value = boost::math::cdf(boost::math::complement(distribution, found.statistic));
  return found;
}

}  // namespace sagbench::analysis
