#include "reports/samples_csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <optional>
#include <ostream>
#include <string_view>

namespace sagbench::reports {
namespace {

std::string_view name_of_phase(analysis::Phase phase) {
  using analysis::Phase;
  switch (phase) {
    case Phase::rest:
      return "rest";
    case Phase::discharge:
      return "discharge";
    case Phase::low_current:
      return "low-current";
    case Phase::high_current:
      return "high-current";
    case Phase::peak:
      return "peak";
    case Phase::recovery:
      return "recovery";
    case Phase::receive:
      return "receive";
    case Phase::transmit:
      return "transmit";
    case Phase::imported:
      return "imported";
    case Phase::dropped_out:
      return "dropped-out";
    case Phase::trip_search:
      return "trip-search";
  }
  return "";
}

void add_optional(fmt::memory_buffer& line, const std::optional<double>& value) {
  line.push_back(',');
  if (value) fmt::format_to(std::back_inserter(line), "{}", *value);
}

void add_sample(fmt::memory_buffer& line, const analysis::Sample& sample, std::size_t cells) {
  const auto end = std::back_inserter(line);
  fmt::format_to(end, "{},{},{}", sample.time_s, sample.voltage_v, sample.current_a);
  add_optional(line, sample.temperature_c);
  fmt::format_to(end, ",{},{}", sample.round_trip_s, sample.commanded_a);
  add_optional(line, sample.commanded_since_s);
  add_optional(line, sample.load_voltage_v);
  fmt::format_to(end, ",{},{}", sample.step, name_of_phase(sample.phase));
  add_optional(line, sample.voltage_age_s);
  fmt::format_to(end, ",{}", sample.missed_ticks);
  for (std::size_t i = 0; i < cells; ++i) {
    add_optional(line, i < sample.cell_v.size() ? std::optional(sample.cell_v[i]) : std::nullopt);
  }
  line.push_back('\n');
}

}  // namespace

void write_samples_csv(std::ostream& out, std::span<const analysis::Sample> samples) {
  std::size_t cells = 0;
  for (const analysis::Sample& sample : samples) cells = std::max(cells, sample.cell_v.size());
  out << "time_s,voltage_V,current_A,temperature_C,round_trip_s,commanded_A,commanded_since_s,"
         "load_voltage_V,step,phase,voltage_age_s,missed_ticks";
  for (std::size_t cell = 1; cell <= cells; ++cell) out << fmt::format(",cell_{}_V", cell);
  out << '\n';
  fmt::memory_buffer line;
  for (const analysis::Sample& sample : samples) {
    line.clear();
    add_sample(line, sample, cells);
    out.write(line.data(), static_cast<std::streamsize>(line.size()));
  }
}

}  // namespace sagbench::reports
