#include "analysis/circuit_record.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace sagbench::analysis {

CircuitRecord::CircuitRecord(std::span<const PulseTrain> trains, ChargeKnots source,
                             ChargeKnots resistance)
    : source_(std::move(source)), resistance_(std::move(resistance)) {
  const auto narrow = [](std::size_t index) { return static_cast<std::uint16_t>(index); };
  const double edge_a = kEdgeShare * largest_current_a(trains);
  for (const PulseTrain& train : trains) {
    double edge_s = train.front().time_s - kSoon_s;
    for (const PulseReading& reading : train) {
      if (is_edge(reading, edge_a)) edge_s = reading.time_s - reading.after_s;
      const KnotPlace source_at = source_.place(reading.removed_ah);
      const KnotPlace ohm_at = resistance_.place(reading.removed_ah);
      rows_.push_back({reading.before_s, reading.after_s, reading.before_a, reading.current_a,
                       reading.voltage_v, source_at.share, ohm_at.share, narrow(source_at.left),
                       narrow(source_at.right), narrow(ohm_at.left), narrow(ohm_at.right),
                       &reading == &train.front(), reading.time_s - edge_s < kSoon_s, true});
    }
  }
  choose_few();
}

void CircuitRecord::choose_few() {
  soon_ = static_cast<std::size_t>(std::ranges::count(rows_, true, &Row::soon));
  constexpr std::size_t kHalf = kFew / 2;
  const std::array<std::size_t, 2> every = {1 + (rows_.size() - soon_) / kHalf, 1 + soon_ / kHalf};
  std::array<std::size_t, 2> seen{};
  for (Row& row : rows_) {
    const std::size_t kind = row.soon ? 1 : 0;
    row.few = seen[kind]++ % every[kind] == 0;
    if (row.few) ++few_;
  }
}

}  // namespace sagbench::analysis
