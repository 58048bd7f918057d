// How often the stated 95 % intervals hold the truth, over a population of simulated packs.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdint>
#include <exception>

#include "coverage.hpp"
#include "trial.hpp"

namespace {

using namespace sagbench::intervals;

void print_each(std::uint64_t seed, const std::vector<Outcome>& outcomes) {
  for (const Outcome& outcome : outcomes)
    fmt::print("{:<24} {:<12} {:10.5f} +/- {:.5f} {}, truth {:.5f}, miss {:+.2f} U\n",
               name_of(seed), outcome.figure, outcome.measured, outcome.expanded_u, outcome.unit,
               outcome.truth, outcome.miss() / outcome.expanded_u);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{
      "Measures simulated packs on benches that err as they may; prints how often the "
      "stated intervals hold the truth."};
  std::uint64_t first = 1, packs = 200;
  std::uint64_t on_air_every = 4;
  bool each = false;
  app.add_option("--first", first, "first seed");
  app.add_option("--packs", packs, "how many");
  app.add_option("--on-air-every", on_air_every,
                 "every so many also on the air until it is empty; 0: none");
  app.add_flag("--each", each, "one line a figure of a pack");
  CLI11_PARSE(app, argc, argv);

  CoverageTable table;
  int failed = 0;
  for (std::uint64_t seed = first; seed < first + packs; ++seed) {
    try {
      auto outcomes = tried(seed);
      if (on_air_every > 0 && seed % on_air_every == seed / on_air_every % on_air_every)
        outcomes.push_back(tried_on_air(seed));
      for (const Outcome& outcome : outcomes) table.add(outcome);
      if (each) print_each(seed, outcomes);
    } catch (const std::exception& error) {
      fmt::print("{}\n", error.what());
      ++failed;
    }
  }
  fmt::print("{}", table.text());
  return failed == 0 ? 0 : 1;
}
