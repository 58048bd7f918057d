// How far predictions miss on simulated packs, over many seeds: the distribution, by chemistry and
// class.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "bench/run/predictions.hpp"
#include "trial.hpp"

namespace {

using namespace sagbench;
using tests::Trial;

constexpr double kHoursGoal = 0.05;
constexpr double kVoltageGoal_v = 0.100;

/// Of one quantity: how far off, and how far off it was said to be at most.
struct Misses {
  std::vector<double> off;
  std::vector<double> stated;  // half-widths of the intervals
  int inside = 0;

  void add(double miss, double half_width) {
    off.push_back(miss);
    stated.push_back(half_width);
    if (std::abs(miss) <= half_width) ++inside;
  }
  void add(const Misses& other) {
    off.insert(off.end(), other.off.begin(), other.off.end());
    stated.insert(stated.end(), other.stated.begin(), other.stated.end());
    inside += other.inside;
  }
};

using ByKind = std::map<std::string, Misses>;

double at_share(std::vector<double> values, double share) {
  std::ranges::sort(values);
  return values[static_cast<std::size_t>(
      std::lround(share * static_cast<double>(values.size() - 1)))];
}

std::vector<double> sizes(std::vector<double> values) {
  for (double& value : values) value = std::abs(value);
  return values;
}

void print(const std::string& kind, const Misses& misses, double factor, double goal) {
  if (misses.off.empty()) return;
  const auto size = sizes(misses.off);
  const auto good = std::ranges::count_if(size, [goal](double miss) { return miss <= goal; });
  const auto count = misses.off.size();
  fmt::print(
      "{:<10} {:+7.2f} {:+7.2f} {:7.2f} {:7.2f} {:7.2f}  {:3d} of {:3d}  {:3d} of {:3d} = {:5.1f} "
      "%  "
      "+/- {:.2f}\n",
      kind, factor * at_share(misses.off, 0.0), factor * at_share(misses.off, 1.0),
      factor * at_share(size, 0.5), factor * at_share(size, 0.9), factor * at_share(size, 0.95),
      good, count, misses.inside, count, 100.0 * misses.inside / static_cast<double>(count),
      factor * at_share(misses.stated, 0.5));
}

void print(const char* what, const ByKind& kinds, double factor, double goal) {
  fmt::print("{:<10} {:>7} {:>7} {:>7} {:>7} {:>7}  {:<10}  {:<20}  {}\n", what, "least", "most",
             "|50 %|", "|90 %|", "|95 %|", "within goal", "inside the interval", "median interval");
  Misses all;
  for (const auto& [kind, misses] : kinds) {
    print(kind, misses, factor, goal);
    all.add(misses);
  }
  print("all", all, factor, goal);
}

/// Hours are of the step that ends with the pack; the lowest supply is of both.
struct Outcome {
  ByKind hours, supply_within, supply_to_end;

  void add(const std::string& kind, const analysis::PredictionTest& test) {
    if (!test.predicted) return;
    const auto& found = *test.predicted;
    if (test.hours)
      hours[kind].add(found.hours.value / *test.hours - 1.0,
                      found.hours.expanded_uncertainty / *test.hours);
    if (test.lowest_supply_v)
      (test.hours ? supply_to_end : supply_within)[kind].add(
          found.lowest_supply_v.value - *test.lowest_supply_v,
          found.lowest_supply_v.expanded_uncertainty);
  }
};

std::string kind_of(const Trial& trial) {
  const std::string name = tests::name_of(trial);
  return name.substr(0, name.find_last_of(' '));
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Predicts and measures radios on simulated packs; prints how far predictions miss."};
  std::uint64_t first = 1, seeds = 50;
  std::string only, runs;
  bool each = false;
  app.add_option("--first", first, "first seed");
  app.add_option("--seeds", seeds, "how many");
  app.add_option("--only", only, "only packs and classes whose name has this, like \"AGM QRO\"");
  app.add_option("--runs", runs,
                 "folder to keep the runs in; those that are there are not repeated")
      ->check(CLI::ExistingDirectory);
  app.add_flag("--each", each, "one line a trial");
  CLI11_PARSE(app, argc, argv);

  Outcome all;
  int failed = 0;
  for (std::uint64_t seed = first; seed < first + seeds; ++seed)
    for (const Trial& trial : tests::trials_of(seed)) {
      if (kind_of(trial).find(only) == std::string::npos) continue;
      try {
        const auto found = runs.empty() ? tests::tried(trial) : tests::tried_in(trial, runs);
        for (const auto& test : found) {
          all.add(kind_of(trial), test);
          if (each) fmt::print("{:<12} {}\n", tests::name_of(trial), bench::outcome_words(test));
        }
      } catch (const std::exception& error) {
        fmt::print("{}\n", error.what());
        ++failed;
      }
    }
  print("hours, %", all.hours, 100.0, kHoursGoal);
  print("half hour, mV", all.supply_within, 1000.0, kVoltageGoal_v);
  print("to end, mV", all.supply_to_end, 1000.0, kVoltageGoal_v);
  return failed == 0 ? 0 : 1;
}
