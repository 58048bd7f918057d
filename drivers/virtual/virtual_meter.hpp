#pragma once
// The simulated meter: one voltmeter, with or without a scanner to cells and a temperature sensor.

#include <cstdint>

#include "drivers/random.hpp"
#include "drivers/virtual/reading_error.hpp"
#include "drivers/virtual/scpi_instrument.hpp"
#include "drivers/virtual/virtual_pack.hpp"

namespace sagbench::drivers::virtual_bench {

/// Channels of the spec; without any, and without a channel list, it reads the pack. A channel that
/// does not exist is -222, one that measures another quantity -221.
class VirtualMeter {
 public:
  /// The pack must outlive the meter.
  VirtualMeter(VirtualPack& pack, const MeterSpec& spec, std::uint64_t seed);
  VirtualMeter(const VirtualMeter&) = delete;
  VirtualMeter& operator=(const VirtualMeter&) = delete;

  VirtualInstrument& instrument() noexcept { return instrument_; }
  void set_defects(const Defects& defects);
  void power_cycle(Time now);

 private:
  std::vector<ScpiCommand> commands();
  void measure_voltages(ScpiCall& call);
  void measure_temperatures(ScpiCall& call);
  std::optional<std::size_t> cell_of(int channel) const;
  double read_channel_v(int channel, Time& takes);
  void check_temperature_channel(int channel) const;
  double measure_voltage_v(double truth_v, Time& takes);
  double measure_temperature_c(Time& takes);

  VirtualPack& pack_;
  MeterSpec spec_;
  Random random_;
  ReadingError voltage_error_;
  double temperature_error_c_;
  SpoiltReading spoilt_pack_;
  std::vector<SpoiltReading> spoilt_cells_;  // one a channel
  SpoiltReading spoilt_temperature_;
  double cycles_;  // of the mains, that a voltage is integrated for
  ScpiInstrument instrument_;
};

}  // namespace sagbench::drivers::virtual_bench
