#include "analysis/sag_line.hpp"

#include <algorithm>
#include <cstddef>

namespace sagbench::analysis {
namespace {

StraightLine line_through(std::span<const HeldPeak> visit) {
  StraightLine line;
  for (const HeldPeak& held : visit) {
    if (held.board_opened) continue;
    line.add(held.before_a, held.peak.rest_v);
    line.add(held.peak.current_a, held.peak.lowest_v);
  }
  return line;
}

std::optional<SagLine> line_of(std::span<const HeldPeak> visit) {
  SagLine line;
  line.step = visit.front().step;
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
  line.fitted = line_through(visit);
  if (!(line.fitted.spread_x() > 0.0)) return std::nullopt;
  line.rest_v = line.fitted.at(0.0);
  line.ohm = -line.fitted.slope();
  return line;
}

}  // namespace

double SagLine::scatter_at(double current_a) const noexcept {
  return std::max(fitted.residual_sd(), noise_v) * fitted.doubt_at(current_a);
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
