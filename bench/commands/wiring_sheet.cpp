#include "bench/commands/wiring_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "reports/cautions.hpp"
#include "reports/report_page.hpp"

namespace sagbench::bench {
namespace {

reports::Wiring wiring_of(const analysis::Pack& pack, const Bench& bench) {
  reports::Wiring wiring{.cells = pack.series, .meter = bench.meter.has_value()};
  if (pack.fuse_a) wiring.fuse = fmt::format("{:g} A fuse", *pack.fuse_a);
  if (!bench.meter) return wiring;
  const auto& channels = bench.meter->channels;
  if (channels.pack) wiring.pack_channel = fmt::format("channel {}", *channels.pack);
  wiring.cell_channels = channels.cells;
  wiring.thermometer_channel = channels.temperature;
  return wiring;
}

/// At the largest current that pack, fuse and load allow.
std::vector<std::string> lead_figures(const analysis::Pack& pack, const Bench& bench) {
  if (bench.leads_ohm <= 0.0)
    return {
        "The bench file states no leads: how much they drop and how warm they get is not known."};
  const double most_a = std::min(analysis::current_limit_a(pack), bench.load.max_current_a);
  const double drop_v = most_a * bench.leads_ohm;
  return {fmt::format(
      "{:.3g} m\xCE\xA9 both together: at {:.3g} A they drop {:.2g} V and turn {:.2g} W "
      "into heat.",
      bench.leads_ohm * 1000.0, most_a, drop_v, most_a * drop_v)};
}

}  // namespace

reports::WiringSheet wiring_sheet(const analysis::Pack& pack, const Bench& bench) {
  const std::string on = bench.name.empty() ? "" : " \xC2\xB7 on " + bench.name;
  return {.title = "How to connect " + pack.name,
          .subtitle = reports::pack_words(pack) + on,
          .wiring = wiring_of(pack, bench),
          .figures = lead_figures(pack, bench),
          .cautions = reports::safety_cautions(pack)};
}

reports::WiringSheet usual_wiring_sheet() {
  return {.title = "How to connect a pack",
          .subtitle = "",
          .wiring = {.cell_channels = {102, 103, 104, 105}, .thermometer_channel = 106},
          .figures = {},
          .cautions = reports::safety_cautions({})};
}

}  // namespace sagbench::bench
