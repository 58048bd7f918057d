// Runs seeds: draws scenes and faults, runs each, judges it, shrinks what fails.

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <cstdio>

#include "trial.hpp"
#include "workers.hpp"

namespace sagbench::campaign {
namespace {

int print_one(const Drawn& drawn, bool with_trace, const std::string& folder) {
  Disk disk;
  TrialOptions options;
  options.keep_trace = with_trace;
  const Report report = run_trial(drawn.scene, drawn.faults, disk, folder, options);
  fmt::print("{}{}\n{}\n", report.trace, text_of(drawn.scene), text_of(drawn.faults));
  for (const Program& program : report.programs)
    fmt::print("{}: {}{}\n", ending_of(program), program.closing.reason, program.words);
  fmt::print(
      "digest {:016x}, {:.0f} s of the world, {} operations, lowest cell {:+.3f} V above its "
      "floor, capacity {:.2f} of its uncertainty\n",
      report.digest, report.world_s, report.operations, report.lowest_margin_v,
      report.capacity_share);
  for (const std::string& failure : report.failures) fmt::print("FAILED: {}\n", failure);
  return report.failures.empty() ? 0 : 1;
}

int run(int argc, char** argv) {
  CLI::App app("Seeded fault campaigns on the virtual bench.", "campaign");
  Order order;
  std::uint64_t seed = 0;
  bool with_trace = false;
  std::string scene, faults;
  app.add_option("--seeds", order.seeds, "how many seeds");
  app.add_option("--first", order.first, "the first of them");
  app.add_option("--jobs", order.jobs, "processes side by side");
  app.add_option("--twice", order.twice_every, "each so-many-th seed is run twice and compared");
  auto* const one = app.add_option("--seed", seed, "only this seed");
  auto* const in = app.add_option("--scene", scene, "instead of a seed's own, as printed");
  app.add_option("--faults", faults, "instead of a seed's own, as printed");
  app.add_flag("--trace", with_trace, "print all that happened");
  CLI11_PARSE(app, argc, argv);
  if (one->count() == 0 && in->count() == 0) return run_campaign(order);
  Drawn drawn = draw(seed);
  if (!scene.empty()) drawn = {scene_from(scene), {}};
  if (!faults.empty()) drawn.faults = faults_from(faults);
  const Folder folder;
  return print_one(drawn, with_trace, folder.path());
}

}  // namespace
}  // namespace sagbench::campaign

int main(int argc, char** argv) {
  return sagbench::campaign::run(argc, argv);
}
