#include "summary.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

namespace sagbench::campaign {
namespace {

using nlohmann::json;

json worst_json(const Worst& worst) {
  return {fmt::format("{}", worst.value), worst.seed};
}

Worst worst_from(const json& packed) {
  return {std::stod(packed.at(0).get<std::string>()), packed.at(1).get<std::uint64_t>()};
}

void take_lower(Worst& worst, const Worst& other) {
  if (other.value < worst.value) worst = other;
}

void take_higher(Worst& worst, const Worst& other) {
  if (other.value > worst.value) worst = other;
}

std::string ending_text(const Report& report) {
  std::string text;
  for (const Program& program : report.programs)
    text += (text.empty() ? "" : ", then ") + ending_of(program);
  return text;
}

}  // namespace

void Summary::add(std::uint64_t seed, const std::vector<Fault>& drawn, const Report& report) {
  ++seeds;
  std::size_t came = 0;
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    if (!report.begun[i]) continue;
    ++came;
    ++faults[static_cast<std::size_t>(drawn[i].kind)];
  }
  ++by_count[std::min(came, by_count.size() - 1)];
  ++endings[ending_text(report)];
  // Where nobody watches the cells one by one, the figure says nothing about the program.
  if (report.lowest_margin_v > 0.0 || report.allowed_under_v > 0.0)
    take_lower(margin_v, {report.lowest_margin_v, seed});
  take_lower(reserve_s, {report.least_reserve_s, seed});
  take_higher(capacity_share, {report.capacity_share, seed});
  if (report.capacity_share > 0.0) ++capacities;
  world_s += report.world_s;
}

void Summary::add(const Summary& part) {
  seeds += part.seeds;
  compared += part.compared;
  for (std::size_t i = 0; i < faults.size(); ++i) faults[i] += part.faults[i];
  for (std::size_t i = 0; i < by_count.size(); ++i) by_count[i] += part.by_count[i];
  for (const auto& [ending, count] : part.endings) endings[ending] += count;
  take_lower(margin_v, part.margin_v);
  take_lower(reserve_s, part.reserve_s);
  take_higher(capacity_share, part.capacity_share);
  capacities += part.capacities;
  world_s += part.world_s;
  failures.insert(failures.end(), part.failures.begin(), part.failures.end());
}

std::string text_of(const Summary& summary) {
  std::string text =
      fmt::format("{} seeds, {:.0f} h of the world; {} run twice, the same byte for byte\n",
                  summary.seeds, summary.world_s / 3600.0, summary.compared);
  text += "seeds by faults that came about:";
  for (std::size_t i = 0; i < summary.by_count.size(); ++i)
    text += fmt::format(" {}: {}", i, summary.by_count[i]);
  text += "\nfaults:";
  for (int kind = 0; kind < kFaultKinds; ++kind)
    text += fmt::format(" {} {}", name_of(static_cast<FaultKind>(kind)),
                        summary.faults[static_cast<std::size_t>(kind)]);
  text += "\nhow runs ended:";
  for (const auto& [ending, count] : summary.endings)
    text += fmt::format(" {}: {};", ending, count);
  text += fmt::format("\nlowest watched cell: {:+.3f} V from its floor (seed {})\n",
                      summary.margin_v.value, summary.margin_v.seed);
  if (summary.reserve_s.seed != 0)
    text += fmt::format("longest current past the watch time: {:.3f} s (seed {}), and excused\n",
                        -summary.reserve_s.value, summary.reserve_s.seed);
  text +=
      fmt::format("{} capacities, the worst off by {:.2f} of its expanded uncertainty (seed {})\n",
                  summary.capacities, summary.capacity_share.value, summary.capacity_share.seed);
  text += fmt::format("{} failed\n", summary.failures.size());
  return text;
}

std::string packed(const Summary& summary) {
  return json{{"seeds", summary.seeds},
              {"compared", summary.compared},
              {"faults", summary.faults},
              {"by_count", summary.by_count},
              {"endings", summary.endings},
              {"margin", worst_json(summary.margin_v)},
              {"reserve", worst_json(summary.reserve_s)},
              {"share", worst_json(summary.capacity_share)},
              {"capacities", summary.capacities},
              {"world_s", summary.world_s},
              {"failures", summary.failures}}
      .dump();
}

Summary unpacked(const std::string& text) {
  const json all = json::parse(text);
  Summary summary;
  summary.seeds = all.at("seeds");
  summary.compared = all.at("compared");
  summary.faults = all.at("faults");
  summary.by_count = all.at("by_count");
  summary.endings = all.at("endings").get<std::map<std::string, std::uint64_t>>();
  summary.margin_v = worst_from(all.at("margin"));
  summary.reserve_s = worst_from(all.at("reserve"));
  summary.capacity_share = worst_from(all.at("share"));
  summary.capacities = all.at("capacities");
  summary.world_s = all.at("world_s");
  summary.failures = all.at("failures").get<std::vector<std::string>>();
  return summary;
}

}  // namespace sagbench::campaign
