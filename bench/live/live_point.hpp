#pragma once
// A sample as the page shows it.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/gap.hpp"
#include "analysis/recording.hpp"

namespace sagbench::live {

struct LivePoint {
  double time_s = 0.0;
  double voltage_v = 0.0;
  double current_a = 0.0;
  double charge_ah = 0.0;  // removed since the run's start
  std::optional<double> temperature_c;
  std::vector<double> cell_v;  // empty: not read with this sample
};

/// Makes points of samples, which come in the order of time, and counts the charge meanwhile, as
/// the analysis does.
class PointMaker {
 public:
  PointMaker() = default;
  /// With the gaps of a run that was continued.
  explicit PointMaker(std::vector<analysis::Gap> gaps) : gaps_(std::move(gaps)) {}

  LivePoint point(const analysis::Sample& sample);
  std::vector<LivePoint> points(std::span<const analysis::Sample> samples);

 private:
  std::vector<analysis::Gap> gaps_;
  std::vector<analysis::Sample> last_;  // none or one
  double charge_ah_ = 0.0;
};

/// Of a row of points those that show it: the first, the last, and the lowest and highest by
/// voltage and by current, in their order. Up to kTelling points stay as they are.
inline constexpr std::size_t kTelling = 6;
std::vector<LivePoint> telling(std::span<const LivePoint> points);

/// Of each of `columns` equal parts of `from_s`..`to_s`, and of what lies outside nothing.
std::vector<LivePoint> thinned(std::span<const LivePoint> points, double from_s, double to_s,
                               int columns);

/// {"time_s": [...], "voltage_V": [...], ...}; null where nothing was read. Numbers are the
/// samples' own, to the last digit.
std::string columns_json(std::span<const LivePoint> points);

}  // namespace sagbench::live
