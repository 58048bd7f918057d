#pragma once
// The simulated electronic load: constant current, its own protections, its own errors.

#include <cstdint>

#include "drivers/virtual/random.hpp"
#include "drivers/virtual/reading_error.hpp"
#include "drivers/virtual/scpi_instrument.hpp"
#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::drivers::virtual_bench {

class VirtualLoad {
 public:
  /// The pack must outlive the load.
  VirtualLoad(VirtualPack& pack, const LoadSpec& spec, double leads_ohm, std::uint64_t seed);
  VirtualLoad(const VirtualLoad&) = delete;
  VirtualLoad& operator=(const VirtualLoad&) = delete;

  VirtualInstrument& instrument() noexcept { return instrument_; }
  bool input_on() const noexcept { return input_on_; }

 private:
  std::vector<ScpiCommand> commands();
  void add_current_commands(std::vector<ScpiCommand>& commands);
  void add_input_commands(std::vector<ScpiCommand>& commands);
  void add_measure_commands(std::vector<ScpiCommand>& commands);

  void reset(Time now);
  void switch_input(bool on, Time now);
  void set_current(double current_a, Time now);
  void set_protection(double current_a, Time now);
  void trip(int fault_number);
  void guard(Time now);
  void apply();
  double measure_voltage_v(ScpiCall& call);
  double measure_current_a(ScpiCall& call);

  VirtualPack& pack_;
  LoadSpec spec_;
  double leads_ohm_;
  Random random_;
  ReadingError setpoint_error_;
  ReadingError voltage_error_;
  ReadingError current_error_;

  bool input_on_ = false;
  bool over_current_tripped_ = false;
  double setpoint_a_ = 0.0;
  double protection_a_;
  ScpiInstrument instrument_;
};

}  // namespace sagbench::drivers::virtual_bench
