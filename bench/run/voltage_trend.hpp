#pragma once
// A run's lowest voltages in a few equal parts of its time, however long it gets.

#include <array>
#include <cstddef>
#include <optional>
#include <string>

namespace sagbench::bench {

class VoltageTrend {
 public:
  static constexpr std::size_t kMostParts = 32;

  /// In the order of time.
  void add(double time_s, double voltage_v);

  double span_s() const noexcept { return last_s_ - first_s_; }
  /// Nothing before the first reading.
  struct Range {
    double least_v, most_v;
  };
  std::optional<Range> range() const;

  /// A column for each part that has begun, the higher the more volts; a blank where nothing was
  /// read. In eighths of a block, or in characters that every terminal has.
  enum class Style { blocks, ascii };
  std::string picture(Style style) const;

 private:
  std::size_t part_of(double time_s) const noexcept;
  void widen() noexcept;

  double first_s_ = 0.0, last_s_ = 0.0, width_s_ = 1.0;
  bool begun_ = false;
  std::array<std::optional<double>, kMostParts> least_v_{};
};

}  // namespace sagbench::bench
