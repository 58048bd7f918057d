#include "analysis/sag_line.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace sagbench::analysis {
namespace {

struct Point {
  double current_a;
  double voltage_v;
};

std::vector<Point> points_of(std::span<const HeldPeak> visit) {
  std::vector<Point> points;
  for (const HeldPeak& held : visit) {
    if (held.board_opened) continue;
    points.push_back({held.before_a, held.peak.rest_v});
    points.push_back({held.peak.current_a, held.peak.lowest_v});
  }
  return points;
}

/// Precondition: not empty.
void fit(SagLine& line, std::span<const Point> points) {
  const auto count = static_cast<double>(points.size());
  double mean_v = 0.0;
  for (const Point& point : points) {
    line.mean_a += point.current_a / count;
    mean_v += point.voltage_v / count;
  }
  double products = 0.0;
  for (const Point& point : points) {
    products += (point.current_a - line.mean_a) * (point.voltage_v - mean_v);
    line.squares_a2 += (point.current_a - line.mean_a) * (point.current_a - line.mean_a);
  }
  line.points = static_cast<int>(points.size());
  if (!(line.squares_a2 > 0.0)) return;
  line.ohm = -products / line.squares_a2;
  line.rest_v = mean_v + line.ohm * line.mean_a;
  double squares = 0.0;
  for (const Point& point : points)
    squares += std::pow(point.voltage_v - line.voltage_at(point.current_a), 2);
  if (points.size() > 2) line.residual_v = std::sqrt(squares / (count - 2.0));
}

std::optional<SagLine> line_of(std::span<const HeldPeak> visit) {
  SagLine line;
  double temperature = 0.0;
  int temperatures = 0;
  for (const HeldPeak& held : visit) {
    line.charge += held.peak.charge / static_cast<double>(visit.size());
    line.noise_v = std::max(line.noise_v, held.noise_v);
    if (held.peak.full_hold && held.peak.current_a > line.largest_a) {
      line.largest_a = held.peak.current_a;
      line.largest_asked_a = held.peak.asked_a;
    }
    if (held.pack_refused && (!line.refusal || held.peak.asked_a < line.refusal->asked_a))
      line.refusal = {held.peak.asked_a, held.board_opened, held.peak.ended};
    if (!held.temperature_c) continue;
    temperature += *held.temperature_c;
    ++temperatures;
  }
  if (temperatures > 0) line.temperature_c = temperature / temperatures;
  const auto points = points_of(visit);
  if (!points.empty()) fit(line, points);
  if (!(line.squares_a2 > 0.0)) return std::nullopt;
  return line;
}

}  // namespace

double SagLine::scatter_at(double current_a) const noexcept {
  if (!(squares_a2 > 0.0)) return 0.0;
  const double away = current_a - mean_a;
  return std::max(residual_v, noise_v) * std::sqrt(1.0 / points + away * away / squares_a2);
}

std::vector<SagLine> sag_lines(std::span<const HeldPeak> peaks) {
  std::vector<SagLine> lines;
  std::size_t first = 0;
  while (first < peaks.size()) {
    std::size_t last = first + 1;
    while (last < peaks.size() && peaks[last].visit == peaks[first].visit) ++last;
    if (const auto line = line_of(peaks.subspan(first, last - first))) lines.push_back(*line);
    first = last;
  }
  return lines;
}

}  // namespace sagbench::analysis
