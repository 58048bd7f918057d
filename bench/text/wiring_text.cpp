#include "bench/text/wiring_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "bench/text/text_line.hpp"

namespace sagbench::bench {
namespace {

constexpr std::size_t kWire = 34;  // columns from pack to instrument

/// A conductor between two terminals, with what is in it.
std::string wire(const char* begin, const std::string& in_it, char of, const std::string& end) {
  std::string line(2, of);
  line += in_it;
  line.resize(std::max(kWire, line.size() + 2), of);
  return begin + line + "o " + end + "\n";
}

std::string fuse_text(const analysis::Pack& pack) {
  return pack.fuse_a ? fmt::format("[fuse {:g} A]", *pack.fuse_a) : "[fuse]";
}

std::string sensed(const Bench& bench, char sign) {
  if (!bench.meter) return fmt::format("load sense {}", sign);
  const auto channel = bench.meter->channels.pack;
  return channel ? fmt::format("meter {}, channel {}", sign, *channel)
                 : fmt::format("meter {}", sign);
}

std::string taps_text(const Bench& bench) {
  if (!bench.meter || bench.meter->channels.cells.empty()) return "";
  std::string taps;
  for (std::size_t i = 0; i < bench.meter->channels.cells.size(); ++i)
    taps += fmt::format("{}cell {}: channel {}", i == 0 ? "" : ", ", i + 1,
                        bench.meter->channels.cells[i]);
  return line("  taps", taps + "; counted from pack -, each behind a small fuse");
}

std::string thermometer_text(const Bench& bench) {
  if (!bench.meter || !bench.meter->channels.temperature)
    return line("  thermometer", "none: feel the pack often");
  return line("  thermometer", fmt::format("channel {}: against the middle of the pack, covered",
                                           *bench.meter->channels.temperature));
}

}  // namespace

std::string wiring_text(const analysis::Pack& pack, const Bench& bench) {
  return "Wiring, the pack last. Heavy leads (=) short and thick; sense leads (-) on the\n"
         "pack's own terminals:\n\n" +
         wire("  pack + o", fuse_text(pack), '=', "load +") +
         wire("         '", "[1 A]", '-', sensed(bench, '+')) +
         wire("         .", "[1 A]", '-', sensed(bench, '-')) +
         wire("  pack - o", "", '=', "load -") + "\n" + taps_text(bench) + thermometer_text(bench);
}

}  // namespace sagbench::bench
