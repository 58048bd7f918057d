#include "drivers/virtual/virtual_meter.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr std::uint64_t kMeterStream = 3;
constexpr double kVoltageNoiseV = 30e-6;
constexpr double kVoltageStepV = 10e-6;
constexpr double kTemperatureNoiseC = 0.01;
constexpr double kTemperatureStepC = 0.01;
constexpr Time kConversion = std::chrono::milliseconds(8);   // of a temperature
constexpr Time kMainsCycle = std::chrono::milliseconds(20);  // 50 Hz
constexpr NumberLimits kCycles{0.01, 100.0, 0.4};            // 0.4 is 8 ms

std::string identity(std::uint64_t seed) {
  return "SAGBENCH,VIRTUAL-METER," + std::to_string(seed) + ",1";
}

void append_next(std::string& answer, bool& first, double value) {
  if (!first) answer.push_back(',');
  first = false;
  append_number(answer, value);
}

}  // namespace

VirtualMeter::VirtualMeter(VirtualPack& pack, const MeterSpec& spec, std::uint64_t seed)
    : pack_(pack),
      spec_(spec),
      random_(seed, kMeterStream),
      voltage_error_(spec.voltage, kVoltageNoiseV, kVoltageStepV, random_),
      temperature_error_c_(random_.uniform(-1.0, 1.0) * spec.temperature_c),
      cycles_(kCycles.usual),
      instrument_(
          identity(seed), [this](Time) { cycles_ = kCycles.usual; }, commands()) {}

std::vector<ScpiCommand> VirtualMeter::commands() {
  return {
      {"[SENSe:]VOLTage[:DC]:NPLCycles",
       [this](ScpiCall& call) { cycles_ = parse_number(call.parameters[0], "", kCycles); }, 1, 1},
      {"[SENSe:]VOLTage[:DC]:NPLCycles?",
       [this](ScpiCall& call) { append_number(call.answer, cycles_); }},
      {"MEASure[:SCALar]:VOLTage[:DC]?", [this](ScpiCall& call) { measure_voltages(call); }, 0, 1},
      {"MEASure[:SCALar]:TEMPerature?", [this](ScpiCall& call) { measure_temperatures(call); }, 0,
       1}};
}

void VirtualMeter::measure_voltages(ScpiCall& call) {
  pack_.advance(call.now);
  if (!call.has(0)) {
    append_number(call.answer, measure_voltage_v(pack_.sense_v(), call.takes));
    return;
  }
  bool first = true;
  for (const int channel : parse_channels(call.parameters[0])) {
    append_next(call.answer, first, measure_voltage_v(channel_v(channel), call.takes));
  }
}

void VirtualMeter::measure_temperatures(ScpiCall& call) {
  pack_.advance(call.now);
  if (!spec_.channels.temperature) throw ScpiFault{fault::kHardwareMissing};
  if (!call.has(0)) {
    append_number(call.answer, measure_temperature_c(call.takes));
    return;
  }
  bool first = true;
  for (const int channel : parse_channels(call.parameters[0])) {
    check_temperature_channel(channel);
    append_next(call.answer, first, measure_temperature_c(call.takes));
  }
}

double VirtualMeter::channel_v(int channel) const {
  const MeterChannels& channels = spec_.channels;
  if (channel == channels.pack) return pack_.sense_v();
  if (channel == channels.temperature) throw ScpiFault{fault::kSettingsConflict};
  const auto found = std::find(channels.cells.begin(), channels.cells.end(), channel);
  const auto cell = static_cast<std::size_t>(found - channels.cells.begin());
  if (cell >= std::min(channels.cells.size(), pack_.cell_count()))
    throw ScpiFault{fault::kDataOutOfRange};
  return pack_.cell_v(cell);
}

void VirtualMeter::check_temperature_channel(int channel) const {
  if (channel == spec_.channels.temperature) return;
  channel_v(channel);  // throws where there is no such channel
  throw ScpiFault{fault::kSettingsConflict};
}

double VirtualMeter::measure_voltage_v(double truth_v, Time& takes) {
  takes += Time(std::llround(cycles_ * static_cast<double>(kMainsCycle.count())));
  // White noise averages away with the root of the integration time.
  return voltage_error_.apply(truth_v, random_, std::sqrt(kCycles.usual / cycles_));
}

double VirtualMeter::measure_temperature_c(Time& takes) {
  takes += kConversion;
  const double celsius =
      pack_.temperature_c() + temperature_error_c_ + kTemperatureNoiseC * random_.normal();
  return std::round(celsius / kTemperatureStepC) * kTemperatureStepC;
}

}  // namespace sagbench::drivers::virtual_bench
