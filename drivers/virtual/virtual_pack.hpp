#pragma once
// The simulated pack: cells in series, heat, a protection board, and whatever the load draws.
// Richer on purpose than the circuit that analysis fits. Lazy: time passes in it only when someone
// asks.

#include <cstdint>
#include <optional>
#include <vector>

#include "drivers/clock.hpp"
#include "drivers/virtual/cell.hpp"
#include "drivers/virtual/protection_board.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::drivers::virtual_bench {

/// What hangs on the pack: a constant current, as far as the sink's own limits let it.
struct Sink {
  double current_a = 0.0;      // 0: nothing is drawn
  double leads_ohm = 0.0;      // between the sense points and the sink
  double min_voltage_v = 0.0;  // at the sink; it cannot pull its terminals lower
  double max_power_w = 0.0;    // at the sink; above, it draws less. 0: unlimited
};

/// Who changes by itself what hangs on the pack while time passes in it.
class PackWatcher {
 public:
  virtual ~PackWatcher() = default;
  /// When it wants to look next; Time::max() for never.
  virtual Time next_look() const = 0;
  /// The pack has come to `now`; afterwards next_look() is later than that. May connect() another
  /// sink.
  virtual void look(Time now) = 0;
};

class VirtualPack {
 public:
  /// Full. Cells that the world does not list are drawn from the seed.
  VirtualPack(const WorldSpec& world, std::uint64_t seed);

  /// Runs up to `now`; earlier than before changes nothing.
  void advance(Time now);
  /// Called whenever time passes, whoever asked for it. Must outlive the pack's last advance().
  void watch(PackWatcher& watcher) noexcept { watcher_ = &watcher; }
  /// Takes effect at the time last advanced to.
  void connect(const Sink& sink);
  /// Charged until the fullest cell is full, rested, at ambient temperature.
  void recharge();
  /// Takes effect at the time last advanced to; nothing happens without a board.
  void open_board();
  /// More resistance inside the sense points.
  void set_joint_ohm(double ohm);

  Time time() const noexcept { return time_; }
  double current_a() const noexcept { return current_a_; }
  double sense_v() const noexcept;
  /// At the sink's end of the leads.
  double sink_v() const noexcept { return sense_v() - current_a_ * sink_.leads_ohm; }
  std::size_t cell_count() const noexcept { return cells_.size(); }
  double cell_v(std::size_t cell) const noexcept;
  double lowest_cell_v() const noexcept;
  double temperature_c() const noexcept { return temperature_c_; }
  bool board_open() const noexcept { return board_ && board_->open(); }
  Truth truth() const;

 private:
  void step(Time length);
  void settle(double elapsed_s);
  double drawable_a() const;
  double ohmic_ohm() const noexcept;
  double source_v() const noexcept;
  void prepare(double step_s);
  void warm(double step_s);
  Time next_step() const noexcept;
  Time next_look() const { return watcher_ == nullptr ? Time::max() : watcher_->next_look(); }

  WorldSpec world_;
  const CellType* type_;
  double floor_v_;
  std::vector<Cell> cells_;
  std::optional<ProtectionBoard> board_;
  double heat_capacity_j_k_;
  double heat_loss_w_k_;

  Time time_{0};
  Time longest_step_;
  StepFactors factors_;
  Sink sink_;
  PackWatcher* watcher_ = nullptr;
  double current_a_ = 0.0;
  double temperature_c_;
  double charge_removed_ah_ = 0.0;
  std::vector<double> lowest_v_;
  double joint_ohm_ = 0.0;
  double highest_current_a_ = 0.0;
  double ever_lowest_v_;
  Time last_drawn_{0};
};

}  // namespace sagbench::drivers::virtual_bench
