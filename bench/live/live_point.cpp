#include "bench/live/live_point.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <set>

#include "analysis/charge_integral.hpp"

namespace sagbench::live {
namespace {

void put_number(std::string& text, double value) {
  if (std::isfinite(value))
    fmt::format_to(std::back_inserter(text), "{}", value);
  else
    text += "null";
}

/// `put(point)` writes one value.
template <class Put>
void put_column(std::string& text, const char* name, std::span<const LivePoint> points, Put put) {
  fmt::format_to(std::back_inserter(text), "\"{}\":[", name);
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (i > 0) text += ',';
    put(points[i]);
  }
  text += ']';
}

}  // namespace

LivePoint PointMaker::point(const analysis::Sample& sample) {
  const bool idle = !last_.empty() && sample.commanded_a == 0.0 && last_.front().commanded_a == 0.0;
  last_.push_back(sample);
  if (last_.size() == 2 && !idle)
    charge_ah_ += analysis::flow(last_, last_.front().time_s, last_.back().time_s, gaps_).charge_ah;
  if (last_.size() == 2) last_.erase(last_.begin());
  return {sample.time_s, sample.voltage_v,     sample.current_a,
          charge_ah_,    sample.temperature_c, sample.cell_v};
}

std::vector<LivePoint> PointMaker::points(std::span<const analysis::Sample> samples) {
  std::vector<LivePoint> points;
  points.reserve(samples.size());
  for (const analysis::Sample& sample : samples) points.push_back(point(sample));
  return points;
}

std::vector<LivePoint> telling(std::span<const LivePoint> points) {
  if (points.size() <= kTelling) return {points.begin(), points.end()};
  const auto volts = std::ranges::minmax_element(points, {}, &LivePoint::voltage_v);
  const auto amps = std::ranges::minmax_element(points, {}, &LivePoint::current_a);
  std::set kept = {points.begin(), volts.min, volts.max, amps.min, amps.max, points.end() - 1};
  std::vector<LivePoint> result;
  result.reserve(kept.size());
  for (const auto& point : kept) result.push_back(*point);
  return result;
}

std::vector<LivePoint> thinned(std::span<const LivePoint> points, double from_s, double to_s,
                               int columns) {
  std::vector<LivePoint> result;
  const double width_s = (to_s - from_s) / columns;
  const auto column_of = [&](const LivePoint& point) {
    return width_s > 0.0 ? std::min(std::floor((point.time_s - from_s) / width_s), columns - 1.0)
                         : 0.0;
  };
  auto at = std::ranges::lower_bound(points, from_s, {}, &LivePoint::time_s);
  const auto end = std::ranges::upper_bound(points, to_s, {}, &LivePoint::time_s);
  while (at < end) {
    const double column = column_of(*at);
    const auto next =
        std::find_if(at, end, [&](const LivePoint& point) { return column_of(point) != column; });
    std::ranges::move(telling({at, next}), std::back_inserter(result));
    at = next;
  }
  return result;
}

std::string columns_json(std::span<const LivePoint> points) {
  std::size_t cells = 0;
  for (const LivePoint& point : points) cells = std::max(cells, point.cell_v.size());
  std::string text;
  text.reserve(64 + points.size() * (44 + 8 * cells));
  text += '{';
  put_column(text, "time_s", points, [&](const auto& p) { put_number(text, p.time_s); });
  text += ',';
  put_column(text, "voltage_V", points, [&](const auto& p) { put_number(text, p.voltage_v); });
  text += ',';
  put_column(text, "current_A", points, [&](const auto& p) { put_number(text, p.current_a); });
  text += ',';
  put_column(text, "temperature_C", points,
             [&](const auto& p) { put_number(text, p.temperature_c.value_or(std::nan(""))); });
  text += ',';
  put_column(text, "charge_Ah", points, [&](const auto& p) {
    fmt::format_to(std::back_inserter(text), "{:.6g}", p.charge_ah);
  });
  text += ",\"cells_V\":[";
  for (std::size_t cell = 0; cell < cells; ++cell) {
    text += cell > 0 ? ",[" : "[";
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (i > 0) text += ',';
      const auto& volts = points[i].cell_v;
      put_number(text, cell < volts.size() ? volts[cell] : std::nan(""));
    }
    text += ']';
  }
  text += "]}";
  return text;
}

}  // namespace sagbench::live
