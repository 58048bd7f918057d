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
      spoilt_cells_(spec.channels.cells.size()),
      cycles_(kCycles.usual),
      instrument_(
          identity(seed), [this](Time) { cycles_ = kCycles.usual; }, commands()) {}

void VirtualMeter::set_defects(const Defects& defects) {
  spoilt_pack_.set(defects.meter_pack);
  spoilt_temperature_.set(defects.temperature);
  for (std::size_t i = 0; i < spoilt_cells_.size(); ++i)
    spoilt_cells_[i].set(i < defects.cells.size() ? defects.cells[i] : ReadingDefect{});
}

void VirtualMeter::power_cycle(Time) {
  cycles_ = kCycles.usual;
  instrument_.power_cycle();
}

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
    append_number(call.answer,
                  spoilt_pack_.apply(measure_voltage_v(pack_.sense_v(), call.takes), random_));
    return;
  }
  bool first = true;
  for (const int channel : parse_channels(call.parameters[0])) {
    append_next(call.answer, first, read_channel_v(channel, call.takes));
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

double VirtualMeter::read_channel_v(int channel, Time& takes) {
  const std::optional<std::size_t> cell = cell_of(channel);
  const double reading_v = measure_voltage_v(cell ? pack_.cell_v(*cell) : pack_.sense_v(), takes);
  return (cell ? spoilt_cells_[*cell] : spoilt_pack_).apply(reading_v, random_);
}

/// Nothing for the pack's own channel; throws where there is no such channel of voltage.
std::optional<std::size_t> VirtualMeter::cell_of(int channel) const {
  const MeterChannels& channels = spec_.channels;
  if (channel == channels.pack) return std::nullopt;
  if (channel == channels.temperature) throw ScpiFault{fault::kSettingsConflict};
  const auto found = std::find(channels.cells.begin(), channels.cells.end(), channel);
  const auto cell = static_cast<std::size_t>(found - channels.cells.begin());
  if (cell >= std::min(channels.cells.size(), pack_.cell_count()))
    throw ScpiFault{fault::kDataOutOfRange};
  return cell;
}

void VirtualMeter::check_temperature_channel(int channel) const {
  if (channel == spec_.channels.temperature) return;
  cell_of(channel);  // throws where there is no such channel
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
  return spoilt_temperature_.apply(std::round(celsius / kTemperatureStepC) * kTemperatureStepC,
                                   random_);
}

}  // namespace sagbench::drivers::virtual_bench
