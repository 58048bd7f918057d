// How far predictions miss on simulated packs, over many seeds: the distribution, by chemistry and
// class.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "bench/predictions.hpp"
#include "trial.hpp"

namespace {

using namespace sagbench;
using tests::Trial;

constexpr double kHoursGoal = 0.05;
constexpr double kVoltageGoal_v = 0.100;

struct Misses {
  std::vector<double> hours;     // relative
  std::vector<double> supply_v;  // of both steps
  int hours_inside = 0;          // within the stated interval
  int supply_inside = 0;
};

double at_share(std::vector<double> values, double share) {
  std::ranges::sort(values);
  return values[static_cast<std::size_t>(
      std::lround(share * static_cast<double>(values.size() - 1)))];
}

std::string spread(const std::vector<double>& values, double factor, double goal) {
  if (values.empty()) return "none";
  const auto good = std::ranges::count_if(values, [goal](double v) { return std::abs(v) <= goal; });
  return fmt::format("{:+7.2f} {:+7.2f} {:+7.2f} {:+7.2f} {:+7.2f}  {:3d} of {:3d}",
                     factor * at_share(values, 0.0), factor * at_share(values, 0.05),
                     factor * at_share(values, 0.5), factor * at_share(values, 0.95),
                     factor * at_share(values, 1.0), good, values.size());
}

void add(const analysis::PredictionTest& test, Misses& misses) {
  if (!test.predicted) return;
  const auto& found = *test.predicted;
  if (test.hours) {
    misses.hours.push_back(found.hours.value / *test.hours - 1.0);
    if (std::abs(found.hours.value - *test.hours) <= found.hours.expanded_uncertainty)
      ++misses.hours_inside;
  }
  if (test.lowest_supply_v) {
    misses.supply_v.push_back(found.lowest_supply_v.value - *test.lowest_supply_v);
    if (std::abs(misses.supply_v.back()) <= found.lowest_supply_v.expanded_uncertainty)
      ++misses.supply_inside;
  }
}

std::string kind_of(const Trial& trial) {
  const std::string name = tests::name_of(trial);
  return name.substr(0, name.find_last_of(' '));
}

void print(const std::map<std::string, Misses>& all) {
  fmt::print("{:<10} {:<47} inside\n", "hours, %",
             "   least     5 %  median    95 %    most  within 5 %");
  for (const auto& [kind, misses] : all)
    fmt::print("{:<10} {}  {:3d}\n", kind, spread(misses.hours, 100.0, kHoursGoal),
               misses.hours_inside);
  fmt::print("{:<10} {:<47} inside\n", "supply, mV",
             "   least     5 %  median    95 %    most  within 100 mV");
  for (const auto& [kind, misses] : all)
    fmt::print("{:<10} {}  {:3d}\n", kind, spread(misses.supply_v, 1000.0, kVoltageGoal_v),
               misses.supply_inside);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Predicts and measures radios on simulated packs; prints how far predictions miss."};
  std::uint64_t first = 1, seeds = 50;
  std::string only;
  bool each = false;
  app.add_option("--first", first, "first seed");
  app.add_option("--seeds", seeds, "how many");
  app.add_option("--only", only, "only packs and classes whose name has this, like \"AGM QRO\"");
  app.add_flag("--each", each, "one line a trial");
  CLI11_PARSE(app, argc, argv);

  std::map<std::string, Misses> all;
  int failed = 0;
  for (std::uint64_t seed = first; seed < first + seeds; ++seed)
    for (const Trial& trial : tests::trials_of(seed)) {
      if (kind_of(trial).find(only) == std::string::npos) continue;
      try {
        for (const auto& test : tests::tried(trial)) {
          add(test, all[kind_of(trial)]);
          if (each) fmt::print("{:<12} {}\n", tests::name_of(trial), bench::outcome_words(test));
        }
      } catch (const std::exception& error) {
        fmt::print("{}\n", error.what());
        ++failed;
      }
    }
  print(all);
  return failed == 0 ? 0 : 1;
}
