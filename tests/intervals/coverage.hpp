#pragma once
// How often stated intervals hold the truth.

#include <string>
#include <vector>

#include "trial.hpp"

namespace sagbench::intervals {

/// Of one figure over many specimens.
class Coverage {
 public:
  void add(const Outcome& outcome);

  int count() const noexcept { return count_; }
  int held() const noexcept { return held_; }
  double share() const noexcept { return static_cast<double>(held_) / count_; }
  /// Mean of |miss| / U: about 0.4 for a normal error, 0.43 for one even over its bounds, k = 2.
  double mean_miss() const noexcept { return sum_of_misses_ / count_; }
  /// Mean of miss / U: 0 where nothing is off to one side.
  double mean_bias() const noexcept { return sum_of_bias_ / count_; }

  /// The share that the counts speak for, with 95 % confidence (C. J. Clopper, E. S. Pearson,
  /// Biometrika 26 (1934) 404).
  struct Band {
    double low = 0.0, high = 0.0;
  };
  Band band() const;

 private:
  int count_ = 0, held_ = 0;
  double sum_of_misses_ = 0.0, sum_of_bias_ = 0.0;
};

/// One row a figure, in the order in which they came.
class CoverageTable {
 public:
  void add(const Outcome& outcome);
  std::string text() const;
  const std::vector<std::pair<std::string, Coverage>>& rows() const noexcept { return rows_; }

 private:
  std::vector<std::pair<std::string, Coverage>> rows_;
};

}  // namespace sagbench::intervals
