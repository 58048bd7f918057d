#pragma once
// The simulated electronic load: constant current or a list of them, its own protections, its own
// errors.

#include <cstdint>

#include "drivers/random.hpp"
#include "drivers/virtual/list_player.hpp"
#include "drivers/virtual/reading_error.hpp"
#include "drivers/virtual/scpi_instrument.hpp"
#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::drivers::virtual_bench {

/// A protection that trips switches the input off and puts its number into the error queue; the
/// input goes on again only after it was told to go off.
class VirtualLoad final : private PackWatcher {
 public:
  /// The pack must outlive the load.
  VirtualLoad(VirtualPack& pack, const LoadSpec& spec, double leads_ohm, std::uint64_t seed);
  VirtualLoad(const VirtualLoad&) = delete;
  VirtualLoad& operator=(const VirtualLoad&) = delete;

  VirtualInstrument& instrument() noexcept { return instrument_; }
  /// Whether current may flow: the input is on, or stuck.
  bool input_on() const noexcept { return input_on_ || stuck_on_; }
  /// What a load knows of the truth: its input and its guards.
  void tell(Truth& truth) const;
  /// From the time the pack has come to.
  void set_defects(const Defects& defects);
  void power_cycle(Time now);

 private:
  /// What *RST brings back. A guard that is 0 is off.
  struct Settings {
    double setpoint_a = 0.0;
    double current_protection_a = 0.0;
    double power_protection_w = 0.0;
    double low_voltage_stop_v = 0.0;
    double watchdog_s = 0.0;
    bool remote_sense = false;
    bool list_mode = false;
    bool waits_for_bus = false;  // *TRG triggers, not INITiate
    ListPlayer list;
  };

  std::vector<ScpiCommand> commands();
  void add_current_commands(std::vector<ScpiCommand>& commands);
  void add_input_commands(std::vector<ScpiCommand>& commands);
  void add_guard_commands(std::vector<ScpiCommand>& commands);
  void add_list_commands(std::vector<ScpiCommand>& commands);
  void add_trigger_commands(std::vector<ScpiCommand>& commands);
  void add_measure_commands(std::vector<ScpiCommand>& commands);

  Settings usual_settings() const;
  void reset(Time now);
  void hear(Time now);
  void switch_input(bool on, Time now);
  void set(double& setting, double value, Time now);
  void set_list_mode(bool list, Time now);
  void set_list(std::vector<double>& values, const ScpiCall& call, const char* unit,
                const NumberLimits& limits);
  void initiate(Time now);
  void trigger(Time now);
  void abort_list(Time now);
  void trip(int fault_number);
  void go_off();
  void guard(Time now);
  void apply();

  Time next_look() const override;
  void look(Time now) override;
  void check_protections();
  bool watches_terminals() const noexcept;
  double level_a() const;
  double terminals_v() const noexcept;
  double measure_voltage_v(ScpiCall& call);
  double measure_current_a(ScpiCall& call);

  VirtualPack& pack_;
  LoadSpec spec_;
  double leads_ohm_;
  Random random_;
  ReadingError setpoint_error_;
  ReadingError voltage_error_;
  ReadingError current_error_;

  Settings settings_;
  bool input_on_ = false;  // as it was told
  bool stuck_on_ = false;  // it was told to go off and did not
  bool stuck_ = false;
  bool stuck_unseen_ = false;
  double bad_contact_ohm_ = 0.0;
  SpoiltReading spoilt_voltage_;
  SpoiltReading spoilt_current_;
  bool blocked_ = false;  // tripped, and not told to go off since
  int tripped_ = 0;       // the last trip's number, until the input goes on again
  bool initiated_ = false;
  Time last_message_{0};
  Time next_terminals_{0};  // when the terminals are looked at next
  ScpiInstrument instrument_;
};

}  // namespace sagbench::drivers::virtual_bench
