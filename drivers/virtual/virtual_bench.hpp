#pragma once
// A simulated pack behind two simulated instruments that speak SCPI bytes. The default bench when
// there is no hardware.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/accuracy.hpp"
#include "analysis/pack.hpp"
#include "drivers/clock.hpp"
#include "drivers/meter.hpp"
#include "drivers/transport.hpp"
#include "drivers/virtual/defects.hpp"

namespace sagbench::drivers::virtual_bench {

/// How one cell differs from its maker's data; 1 and 0 mean it does not.
struct CellTrait {
  double capacity_factor = 1.0;    // of the rated capacity
  double resistance_factor = 1.0;  // of the chemistry's typical resistance at this size
  double charge_offset = 0.0;      // state of charge missing when the others are full, 0..1
};

struct WorldSpec {
  analysis::Pack pack;
  /// One a series position; empty: drawn from the seed with everyday spread.
  std::vector<CellTrait> cells{};
  /// State of charge that every cell lacks besides when the bench begins, 0..1: a pack that is
  /// brought half empty. A recharge makes it good.
  double missing_charge = 0.0;
  double ambient_c = 23.0;
  double contact_ohm = 0.001;  // inside the meter's sense points: belongs to the pack
  double leads_ohm = 0.004;    // between the sense points and the load
};

struct LoadSpec {
  double max_current_a = 30.0;
  double max_power_w = 300.0;
  double max_voltage_v = 60.0;
  double min_voltage_v = 1.0;
  // The class; the instrument's own error is drawn within it.
  analysis::AccuracyTerm voltage;
  analysis::AccuracyTerm current;
};

struct MeterSpec {
  MeterChannels channels;
  analysis::AccuracyTerm voltage;
  double temperature_c = 0.5;  // half-width of the temperature error
};

/// What only the world knows; for tests and for the demo's own check, never for results.
struct Truth {
  double charge_removed_ah = 0.0;  // since last full
  double pack_v = 0.0;             // at the sense points, now
  double current_a = 0.0;
  std::vector<double> cell_v;
  std::vector<double> cell_charge;    // state of charge of each cell
  std::vector<double> cell_lowest_v;  // lowest terminal voltage of each cell since last full
  bool cell_below_floor = false;      // some cell was driven below its chemistry's floor since then
  double temperature_c = 0.0;
  bool input_on = false;  // or stuck
  bool board_open = false;
  // Since the bench was made, recharges or not:
  double highest_current_a = 0.0;
  double ever_lowest_cell_v = 0.0;  // of any cell
  Time last_drawn{0};               // when current flowed last; 0: never
  // The load's own guards as they are set now; 0: off.
  double low_voltage_stop_v = 0.0;
  double watchdog_s = 0.0;
};

/// Answer bytes of an instrument, ready to leave at `ready`.
struct Answer {
  Time ready{0};
  std::string bytes;
};

/// One simulated instrument: bytes in, bytes out. Keeps half lines until the rest comes.
class VirtualInstrument {
 public:
  virtual ~VirtualInstrument() = default;
  /// `now` must not run backwards.
  virtual std::vector<Answer> receive(std::string_view bytes, Time now) = 0;
  /// The client is gone: its half line is none of the next one's business.
  virtual void forget_half_line() {}
};

class VirtualBench {
 public:
  /// Everything random is drawn from `seed`. Without a meter spec there is no meter. Throws
  /// std::invalid_argument for a pack without capacity or with another number of cells than it
  /// says.
  VirtualBench(const WorldSpec& world, const LoadSpec& load, const std::optional<MeterSpec>& meter,
               std::uint64_t seed);
  ~VirtualBench();
  VirtualBench(const VirtualBench&) = delete;
  VirtualBench& operator=(const VirtualBench&) = delete;

  VirtualInstrument& load() noexcept;
  /// Precondition: made with a meter spec.
  VirtualInstrument& meter() noexcept;

  /// A charger fills the pack until its fullest cell is full, and it rests to ambient temperature.
  /// Precondition: input off.
  void recharge(Time now);
  Truth truth(Time now);

  /// From `now` on this is broken and nothing else.
  void set_defects(Time now, const Defects& defects);
  const Defects& defects() const noexcept;
  /// An instrument loses its supply for a moment: off, settings as after power-on, errors, half
  /// lines and unread answers forgotten. A stuck input stays on.
  void power_cycle_load(Time now);
  /// Precondition: made with a meter spec.
  void power_cycle_meter(Time now);
  /// The pack's protection board opens without a reason; it closes as after any other. Nothing
  /// happens without a board.
  void open_board(Time now);

  /// Transports for in-process use. The bench and the clock must outlive them.
  std::unique_ptr<Transport> load_transport(Clock& clock);
  std::unique_ptr<Transport> meter_transport(Clock& clock);

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

struct TrueDischarge {
  double charge_ah = 0.0;
  double energy_wh = 0.0;  // at the sense points
};

/// What a flawless bench would find: a fresh, full copy of the pack, discharged at a constant
/// `current_a` until the pack at its sense points reaches `end_v`, or, where `end_cell_v` is given,
/// until any cell reaches that. A protection board that opens ends it as well. Not numbers when the
/// current is not above zero or the end is never reached.
TrueDischarge true_discharge(const WorldSpec& world, std::uint64_t seed, double current_a,
                             double end_v, std::optional<double> end_cell_v);
/// The charge of that alone.
double true_capacity_ah(const WorldSpec& world, std::uint64_t seed, double current_a, double end_v,
                        std::optional<double> end_cell_v);

}  // namespace sagbench::drivers::virtual_bench
