#include "bench/files/bench_file.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <cmath>

#include "bench/files/cable_keys.hpp"
#include "bench/files/json_reader.hpp"
#include "drivers/device_transport.hpp"

namespace sagbench::bench {
namespace {

using analysis::AccuracyTerm;

constexpr Range kRelative{0.0, 0.2, ""};
constexpr int kHighestChannel = 9999;

std::optional<AccuracyTerm> read_term(ObjectReader& accuracy, std::string_view key,
                                      std::string_view range_key, std::string_view unit) {
  auto object = accuracy.maybe_object(key);
  if (!object) return std::nullopt;
  AccuracyTerm term;
  term.of_reading = object->number("of_reading", kRelative);
  term.of_range = object->maybe_number("of_range", kRelative).value_or(0.0);
  const Range range{0.0, 10000.0, unit, true};
  term.range = term.of_range > 0.0 ? object->number(range_key, range)
                                   : object->maybe_number(range_key, range).value_or(0.0);
  object->finish();
  return term;
}

std::string read_port(ObjectReader& reader) {
  const std::string port = reader.text("port");
  const bool tcp = port.rfind("tcp:", 0) == 0;
  if (port != "virtual" && !tcp && !drivers::names_device(port))
    reader.refuse("port", fmt::format("\"virtual\", \"tcp:HOST:PORT\" or a device such as \"{}\"",
                                      drivers::device_example()));
  if (tcp && (port.rfind(':') <= 4 || port.rfind(':') + 1 == port.size()))
    reader.refuse("port", "\"tcp:HOST:PORT\", for example \"tcp:192.0.2.7:5025\"");
  return port;
}

/// What every instrument has; the entry holds the defaults.
template <class Entry>
void read_instrument(ObjectReader& reader, Entry& entry) {
  constexpr int kSlowest = 300;
  constexpr int kFastest = 4000000;
  entry.port = read_port(reader);
  if (const auto baud = reader.maybe_whole("baud", kSlowest, kFastest))
    entry.baud = static_cast<unsigned>(*baud);
  entry.dialect = reader.maybe_text("dialect").value_or(entry.dialect);
  if (entry.dialect.empty()) reader.refuse("dialect", "a name or a path, not empty");
  entry.calibrated = reader.maybe_date("calibrated");
}

LoadEntry read_load(ObjectReader reader) {
  LoadEntry load;
  read_instrument(reader, load);
  load.remote_sense = reader.maybe_flag("remote_sense");
  load.slew_a_per_s = reader.maybe_number("slew_A_per_s", {0.0, 1e9, "A/s", true});
  load.max_current_a = reader.number("max_current_A", {0.0, 2000.0, "A", true});
  load.max_power_w = reader.number("max_power_W", {0.0, 100000.0, "W", true});
  load.max_voltage_v = reader.number("max_voltage_V", {0.0, 1000.0, "V", true});
  load.min_voltage_v = reader.maybe_number("min_voltage_V", {0.0, 100.0, "V"}).value_or(0.0);
  if (auto accuracy = reader.maybe_object("accuracy")) {
    load.voltage = read_term(*accuracy, "voltage", "range_V", "V");
    load.current = read_term(*accuracy, "current", "range_A", "A");
    accuracy->finish();
  }
  reader.finish();
  return load;
}

drivers::MeterChannels read_channels(ObjectReader reader) {
  drivers::MeterChannels channels;
  channels.pack = reader.maybe_whole("pack", 0, kHighestChannel);
  channels.cells = reader.maybe_wholes("cells", 0, kHighestChannel);
  channels.temperature = reader.maybe_whole("temperature", 0, kHighestChannel);
  reader.finish();
  if (!channels.pack && (!channels.cells.empty() || channels.temperature))
    reader.refuse("pack", "needed where other channels are named");
  auto rising = channels.cells;
  std::sort(rising.begin(), rising.end());
  if (std::adjacent_find(rising.begin(), rising.end()) != rising.end())
    reader.refuse("cells", "another channel for each cell");
  return channels;
}

/// Pack and cells are to be read well within the time that the pack may go unwatched.
std::optional<double> read_nplc(ObjectReader& reader, std::size_t cells) {
  constexpr double kLongestScan_s = 2.0;
  constexpr double kLongestConversion_s = 2.0 / 50.0;  // a cycle at 50 Hz, twice: self-zeroing
  const double most = kLongestScan_s / kLongestConversion_s / static_cast<double>(1 + cells);
  return reader.maybe_number("nplc", {0.0, std::floor(most), "mains cycles", true});
}

MeterEntry read_meter(ObjectReader reader) {
  MeterEntry meter;
  read_instrument(reader, meter);
  if (auto channels = reader.maybe_object("channels")) meter.channels = read_channels(*channels);
  if (auto accuracy = reader.maybe_object("accuracy")) {
    meter.voltage = read_term(*accuracy, "voltage", "range_V", "V");
    meter.temperature_c =
        accuracy->maybe_number("temperature_C", {0.0, 10.0, "°C"}).value_or(meter.temperature_c);
    accuracy->finish();
  }
  meter.nplc = read_nplc(reader, meter.channels.cells.size());
  reader.finish();
  return meter;
}

/// Both conductors, pack to load: told as ohms or as wire.
double read_leads_ohm(ObjectReader& leads) {
  constexpr double kMost_ohm = 1.0;
  const bool by_wire = states_wire(leads);
  if (by_wire && leads.has("resistance_ohm"))
    leads.refuse("resistance_ohm", "either \"resistance_ohm\" or the wire's keys, not both");
  const double ohm = by_wire ? read_wire_ohm(leads, kMost_ohm)
                             : leads.number("resistance_ohm", {0.0, kMost_ohm, "ohm"});
  leads.finish();
  return ohm;
}

std::optional<double> read_simulated_room_c(ObjectReader& reader, const Bench& bench) {
  const auto room_c = reader.maybe_number("simulated_room_C", {-40.0, 60.0, "°C"});
  if (room_c && !bench.is_virtual())
    reader.refuse("simulated_room_C",
                  "only where load.port is \"virtual\"; a real room is measured");
  return room_c;
}

}  // namespace

Bench bench_from_json(const nlohmann::json& json, const std::string& origin) {
  ObjectReader reader(json, origin);
  reader.schema("bench");
  Bench bench;
  bench.name = reader.maybe_text("name").value_or("");
  bench.load = read_load(reader.object("load"));
  if (auto meter = reader.maybe_object("meter")) bench.meter = read_meter(*meter);
  if (auto leads = reader.maybe_object("leads")) bench.leads_ohm = read_leads_ohm(*leads);
  bench.simulated_room_c = read_simulated_room_c(reader, bench);
  reader.finish();
  if (bench.meter && (bench.meter->port == "virtual") != bench.is_virtual())
    throw InputError(fmt::format(
        "{}: \"meter.port\": \"{}\" does not go with load.port \"{}\"; both virtual or both real",
        origin, bench.meter->port, bench.load.port));
  return bench;
}

analysis::BenchAccuracy accuracy_of(const Bench& bench) {
  analysis::BenchAccuracy accuracy;
  accuracy.load_voltage =
      bench.load.voltage.value_or(analysis::default_voltage_accuracy(bench.load.max_voltage_v));
  accuracy.load_current =
      bench.load.current.value_or(analysis::default_current_accuracy(bench.load.max_current_a));
  accuracy.leads_ohm = bench.leads_ohm;
  accuracy.defaulted = !bench.load.voltage || !bench.load.current;
  if (!bench.meter) return accuracy;
  constexpr double kUnstatedMeterRange_v = 20.0;
  accuracy.meter_voltage =
      bench.meter->voltage.value_or(analysis::default_voltage_accuracy(kUnstatedMeterRange_v));
  accuracy.defaulted = accuracy.defaulted || !bench.meter->voltage;
  if (bench.meter->channels.temperature) accuracy.temperature_c = bench.meter->temperature_c;
  return accuracy;
}

}  // namespace sagbench::bench
