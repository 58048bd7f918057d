#include "coverage.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/distributions/binomial.hpp>
#include <cmath>

namespace sagbench::intervals {

void Coverage::add(const Outcome& outcome) {
  ++count_;
  if (outcome.held()) ++held_;
  sum_of_misses_ += std::abs(outcome.miss()) / outcome.expanded_u;
  sum_of_bias_ += outcome.miss() / outcome.expanded_u;
}

Coverage::Band Coverage::band() const {
  using Binomial = boost::math::binomial_distribution<>;
  constexpr double kEachSide = 0.025;
  return {Binomial::find_lower_bound_on_p(count_, held_, kEachSide),
          Binomial::find_upper_bound_on_p(count_, held_, kEachSide)};
}

void CoverageTable::add(const Outcome& outcome) {
  auto row = std::ranges::find(rows_, outcome.figure, &std::pair<std::string, Coverage>::first);
  if (row == rows_.end()) row = rows_.insert(rows_.end(), {outcome.figure, Coverage{}});
  row->second.add(outcome);
}

std::string CoverageTable::text() const {
  std::string text = fmt::format("{:<14} {:>4} {:>5} {:>8}  {:<17} {:>11} {:>10}\n", "figure", "n",
                                 "held", "share", "95 % band, %", "mean |e|/U", "mean e/U");
  for (const auto& [figure, coverage] : rows_) {
    const Coverage::Band band = coverage.band();
    text += fmt::format("{:<14} {:>4} {:>5} {:>6.1f} %  {:<17} {:>11.3f} {:>+10.3f}\n", figure,
                        coverage.count(), coverage.held(), 100.0 * coverage.share(),
                        fmt::format("{:.1f} to {:.1f}", 100.0 * band.low, 100.0 * band.high),
                        coverage.mean_miss(), coverage.mean_bias());
  }
  return text;
}

}  // namespace sagbench::intervals
