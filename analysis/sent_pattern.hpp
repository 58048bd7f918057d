#pragma once
// A radio's pattern on a pack at one state of charge.

#include <optional>
#include <vector>

#include "analysis/prediction.hpp"
#include "analysis/radio_stage.hpp"
#include "analysis/relaxation.hpp"
#include "analysis/source_curve.hpp"

namespace sagbench::analysis {

/// How pack and supply stand under the pattern, the charge standing still.
struct UnderPattern {
  double lowest_supply_v = 0.0;  // at the radio, transmitting
  double lowest_spread_v = 0.0;  // standard deviation of that from one stretch of it to another
  double lowest_pack_v = 0.0;
  std::optional<double> lowest_cell_v;
  double mean_a = 0.0;
};

class SentPattern {
 public:
  /// Precondition: `sent` not empty, its whole time above 0.
  SentPattern(const Radio& radio, const std::vector<SentPiece>& sent);

  /// `cells`: how many share the pack's sag.
  UnderPattern on(const SourcePoint& source, const PulseResponse& response, int cells) const;
  /// Standard uncertainty of the mean current over `hours` of the pattern, relative.
  double mean_uncertainty(double hours) const noexcept;

 private:
  Radio radio_;
  StageCurrent stage_;
  const std::vector<SentPiece>& sent_;
  std::vector<Relaxation::Currents> kept_;  // of each piece that is watched
  double nominal_mean_a_ = 0.0;
  double watched_s_ = 0.0;
  double watched_share_ = 1.0;  // mean current while it is watched, of that of the whole
  double total_s_ = 0.0;
};

}  // namespace sagbench::analysis
