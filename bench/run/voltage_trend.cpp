#include "bench/run/voltage_trend.hpp"

#include <algorithm>
#include <cmath>
#include <span>
#include <string_view>

namespace sagbench::bench {
namespace {

/// Smaller changes are no trend but the instrument's noise.
constexpr double kSmallestShare = 0.005;

std::optional<double> lower(const std::optional<double>& one, const std::optional<double>& other) {
  if (!one) return other;
  return other ? std::min(*one, *other) : *one;
}

std::span<const std::string_view> columns_of(VoltageTrend::Style style) {
  static constexpr std::array<std::string_view, 8> kBlocks = {"▁", "▂", "▃", "▄",
                                                              "▅", "▆", "▇", "█"};
  static constexpr std::array<std::string_view, 4> kAscii = {"_", ".", "-", "'"};
  if (style == VoltageTrend::Style::ascii) return kAscii;
  return kBlocks;
}

}  // namespace

std::size_t VoltageTrend::part_of(double time_s) const noexcept {
  return static_cast<std::size_t>((time_s - first_s_) / width_s_);
}

void VoltageTrend::add(double time_s, double voltage_v) {
  if (!std::isfinite(time_s) || !std::isfinite(voltage_v)) return;
  if (!begun_) first_s_ = time_s;
  begun_ = true;
  last_s_ = std::max(time_s, last_s_);
  while (part_of(last_s_) >= kMostParts) widen();
  auto& least_v = least_v_[part_of(last_s_)];
  least_v = lower(least_v, voltage_v);
}

void VoltageTrend::widen() noexcept {
  for (std::size_t i = 0; i < kMostParts / 2; ++i)
    least_v_[i] = lower(least_v_[2 * i], least_v_[2 * i + 1]);
  std::fill(least_v_.begin() + kMostParts / 2, least_v_.end(), std::nullopt);
  width_s_ *= 2.0;
}

std::optional<VoltageTrend::Range> VoltageTrend::range() const {
  std::optional<Range> range;
  for (const auto& least_v : least_v_) {
    if (!least_v) continue;
    if (!range) range = Range{*least_v, *least_v};
    range->least_v = std::min(range->least_v, *least_v);
    range->most_v = std::max(range->most_v, *least_v);
  }
  return range;
}

std::string VoltageTrend::picture(Style style) const {
  const auto of_all = range();
  if (!of_all) return "";
  const auto columns = columns_of(style);
  const double height_v =
      std::max(of_all->most_v - of_all->least_v, kSmallestShare * std::abs(of_all->most_v));
  std::string text;
  for (std::size_t part = 0; part <= part_of(last_s_); ++part) {
    if (!least_v_[part]) {
      text += ' ';
      continue;
    }
    const double below = height_v > 0.0 ? (of_all->most_v - *least_v_[part]) / height_v : 0.0;
    text += columns[static_cast<std::size_t>(
        std::lround((1.0 - below) * static_cast<double>(columns.size() - 1)))];
  }
  return text;
}

}  // namespace sagbench::bench
