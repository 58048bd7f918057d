#pragma once
// The readings of a record, each with its place among the knots of a circuit over charge.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "analysis/charge_knots.hpp"
#include "analysis/pulse_train.hpp"

namespace sagbench::analysis {

class CircuitRecord {
 public:
  struct Row {
    double before_s, after_s, before_a, current_a, voltage_v;
    double source_share, resistance_share;
    std::uint16_t source_left, source_right, resistance_left, resistance_right;
    bool begins;  // a train
    bool soon;    // within kSoon_s of an edge of current
    bool few;     // one of the few that stand for all
  };
  /// Half of them soon after an edge, if there are so many.
  static constexpr std::size_t kFew = 30'000;

  /// `trains` as whole_record() makes them.
  CircuitRecord(std::span<const PulseTrain> trains, ChargeKnots source, ChargeKnots resistance);

  std::span<const Row> rows() const noexcept { return rows_; }
  std::size_t few() const noexcept { return few_; }
  /// How many of the rows stand soon after an edge.
  std::size_t soon() const noexcept { return soon_; }
  const ChargeKnots& source() const noexcept { return source_; }
  const ChargeKnots& resistance() const noexcept { return resistance_; }

 private:
  void choose_few();

  ChargeKnots source_, resistance_;
  std::vector<Row> rows_;
  std::size_t few_ = 0;
  std::size_t soon_ = 0;
};

}  // namespace sagbench::analysis
