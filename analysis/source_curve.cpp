#include "analysis/source_curve.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include "analysis/past_currents.hpp"
#include "analysis/straight_line.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kPoints = 400.0;  // on the curve
constexpr double kMostRise = 2.0;

/// A published capacity: for so many hours, of the ten-hour capacity.
struct RatedCapacity {
  double hours;
  double share;
};
constexpr std::array kLeadAcid = {RatedCapacity{20.0, 1.05}, RatedCapacity{10.0, 1.00},
                                  RatedCapacity{3.0, 0.75}, RatedCapacity{1.0, 0.52}};
constexpr double kLeadAcidDoubt = 0.5;  // of the lag; makes differ (our choice)
constexpr double kOtherDoubt_h = 0.05;  // our choice: about 1 % of capacity at the usual rates

/// What a discharge's current leaves behind per ampere: minus the slope of capacity over current.
double lead_acid_lag_h() {
  StraightLine capacity;
  for (const RatedCapacity& rated : kLeadAcid) capacity.add(rated.share / rated.hours, rated.share);
  return -capacity.slope();
}

/// A stretch of the discharge, averaged.
struct Bin {
  double depth_ah = 0.0;
  double pack_v = 0.0;
  int samples = 0;
  double cell_v = 0.0;
  int cells = 0;

  void add(double depth, double pack, const std::vector<double>& cells_v, double sag_v,
           std::size_t series) {
    depth_ah += depth;
    pack_v += pack + sag_v;
    ++samples;
    if (cells_v.empty()) return;
    cell_v += *std::ranges::min_element(cells_v) + sag_v / static_cast<double>(series);
    ++cells;
  }
  SourcePoint mean(const std::optional<double>& cell_before_v) const {
    SourcePoint point{depth_ah / samples, pack_v / samples, cell_before_v};
    if (cells > 0) point.cell_v = cell_v / cells;
    return point;
  }
};

}  // namespace

Lag lag_of(const Pack& pack) noexcept {
  if (!limits_of(pack.chemistry).lead_acid) return {0.0, kOtherDoubt_h};
  const double hours = lead_acid_lag_h();
  return {hours, kLeadAcidDoubt * hours};
}

SourceCurve::SourceCurve(const Recording& recording, const ChargeState& charge,
                         const Discharge& discharge, std::vector<ResponsePoint> responses,
                         double lag_h, double resistance_factor)
    : responses_(std::move(responses)), lag_h_(lag_h) {
  for (ResponsePoint& point : responses_) point.response = point.response.times(resistance_factor);
  const auto first = static_cast<std::size_t>(discharge.samples.data() - recording.samples.data());
  const double bin_ah = charge.reference_ah() / kPoints;
  PastCurrents past(lag_h);
  Bin bin;
  double bin_ends_ah = charge.removed_ah(first) + bin_ah;
  const auto close = [&] {
    if (bin.samples > 0)
      points_.push_back(bin.mean(points_.empty() ? std::nullopt : points_.back().cell_v));
    bin = {};
  };
  for (std::size_t i = 0; i < discharge.samples.size(); ++i) {
    const Sample& sample = discharge.samples[i];
    past.follow(sample);
    const double removed_ah = charge.removed_ah(first + i);
    if (removed_ah > bin_ends_ah) {
      close();
      bin_ends_ah = removed_ah + bin_ah;
    }
    const double depth_ah = removed_ah + past.lag_ah();
    const double sag_v = response_at(depth_ah).sag_v(sample.current_a, past.relaxation());
    bin.add(depth_ah, sample.voltage_v, sample.cell_v, sag_v,
            static_cast<std::size_t>(recording.pack.series));
  }
  close();
}

SourcePoint SourceCurve::at(double depth_ah) const noexcept {
  auto right = std::ranges::lower_bound(points_, depth_ah, {}, &SourcePoint::depth_ah);
  if (right == points_.begin()) ++right;
  if (right == points_.end()) --right;
  const SourcePoint& a = *(right - 1);
  const SourcePoint& b = *right;
  const double span_ah = b.depth_ah - a.depth_ah;
  const double share = span_ah > 0.0 ? (depth_ah - a.depth_ah) / span_ah : 0.0;
  SourcePoint point{depth_ah, std::lerp(a.pack_v, b.pack_v, share), std::nullopt};
  if (a.cell_v && b.cell_v) point.cell_v = std::lerp(*a.cell_v, *b.cell_v, share);
  return point;
}

PulseResponse SourceCurve::response_at(double depth_ah) const noexcept {
  const auto right = std::ranges::lower_bound(responses_, depth_ah, {}, &ResponsePoint::depth_ah);
  if (right == responses_.begin()) return responses_.front().response;
  const ResponsePoint& left = *(right - 1);
  if (right != responses_.end())
    return between(left.response, right->response,
                   (depth_ah - left.depth_ah) / (right->depth_ah - left.depth_ah));
  if (responses_.size() < 2) return left.response;
  const ResponsePoint& before = *(right - 2);
  const double span_ah = left.depth_ah - before.depth_ah;
  const double risen = 1.0 - before.response.total_ohm() / left.response.total_ohm();
  const double factor = 1.0 + risen * (depth_ah - left.depth_ah) / span_ah;
  return left.response.times(std::clamp(factor, 1.0, kMostRise));
}

}  // namespace sagbench::analysis
