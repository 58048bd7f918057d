#pragma once
// The board that opens the pack when it is abused: over-current and low cell voltage.

#include "analysis/pack.hpp"

namespace sagbench::drivers::virtual_bench {

/// Thresholds typical of such boards (common practice, no source): over-current 1.2 times the
/// pack's limit for 10 ms, three times at once; a cell 0.2 V above its chemistry's floor (2.2 V for
/// LFP) for 50 ms. It closes again one second after the load is gone and the cells have recovered.
class ProtectionBoard {
 public:
  explicit ProtectionBoard(const analysis::Pack& pack);

  /// The pack has been like this for `elapsed_s`, which may be 0: then it only begins to be so.
  void observe(double current_a, double lowest_cell_v, bool load_released, double elapsed_s);
  bool open() const noexcept { return open_; }
  /// Longest step after which observe() must look again.
  double look_again_within_s() const noexcept;
  void reset();
  /// Opens without a reason.
  void force_open() noexcept;

 private:
  void watch(double current_a, double lowest_cell_v, double elapsed_s);

  double current_limit_a_;
  double low_v_;
  double recovered_v_;
  bool open_ = false;
  double over_current_s_ = -1.0;  // how long the condition has lasted; below 0: not present
  double low_voltage_s_ = -1.0;
  double recovered_s_ = -1.0;
};

}  // namespace sagbench::drivers::virtual_bench
