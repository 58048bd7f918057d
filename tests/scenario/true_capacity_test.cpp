// The virtual pack's true capacity must lie inside the stated uncertainty: JCGM 100 promises about
// 95 of 100 at k = 2; the project asks for at least 90. The virtual pack is not of the analysis'
// own making (see the design, section 1).

#include <iostream>

#include "analysis/figures.hpp"
#include "bench/run/loaded_run.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;

namespace {

analysis::Pack pack_of(analysis::Chemistry chemistry, int series) {
  analysis::Pack pack = demo_pack();
  pack.chemistry = chemistry;
  pack.series = series;
  pack.rated_capacity_ah = 4.0;
  pack.max_discharge_current_a = 8.0;
  return pack;
}

/// Measured by a whole run, analysed from the archive as `sagbench analyse` does.
analysis::Finding<analysis::Capacity> measured(const analysis::Pack& pack,
                                               const bench::Bench& bench, std::uint64_t seed,
                                               double rate_it) {
  const TemporaryFolder folder;
  VirtualRun run(pack, bench, seed);
  run.run({{{"do", "rest"}, {"seconds", 10}}, {{"do", "capacity"}, {"rate_It", rate_it}}},
          folder.file("a.db"));
  const reports::Archive archive(folder.file("a.db"), reports::Archive::Access::read);
  auto record = archive.load(archive.runs().front().id);
  analysis::Recording recording;
  recording.pack = pack;
  recording.accuracy = bench::accuracy_of(bench);
  recording.steps = bench::steps_of(record, pack);
  recording.samples = std::move(record.samples);
  recording.complete = true;
  return analysis::analyse(recording).capacity;
}

}  // namespace

TEST_CASE("the true capacity lies inside the stated uncertainty in at least 90 of 100 seeds") {
  constexpr double kRate_it = 0.5;
  const std::pair<analysis::Chemistry, int> kinds[] = {{analysis::Chemistry::lfp, 4},
                                                       {analysis::Chemistry::nmc, 3},
                                                       {analysis::Chemistry::agm, 6},
                                                       {analysis::Chemistry::nimh, 10}};
  int inside = 0;
  for (std::uint64_t seed = 1; seed <= 100; ++seed) {
    const auto& [chemistry, series] = kinds[seed % 4];
    const bool tapped = seed % 8 < 4 && series == 4;
    const auto pack = pack_of(chemistry, series);
    const auto bench = demo_bench(tapped ? series : 0);
    const auto found = measured(pack, bench, seed, kRate_it);
    REQUIRE(found);
    const double current_a = kRate_it * analysis::rated_current_it_a(pack);
    const double truth_ah = drivers::virtual_bench::true_capacity_ah(
        bench::world_of(pack, bench), seed, current_a, analysis::end_of_discharge_voltage_v(pack),
        tapped ? std::optional<double>(analysis::cell_end_of_discharge_v(pack)) : std::nullopt);
    const double miss_ah = std::abs(found->charge_ah.value - truth_ah);
    CAPTURE(seed, found->charge_ah.value, found->charge_ah.expanded_uncertainty, truth_ah);
    CHECK(miss_ah < 3.0 * found->charge_ah.expanded_uncertainty);
    if (miss_ah <= found->charge_ah.expanded_uncertainty) ++inside;
  }
  std::cout << "true capacity inside the stated uncertainty: " << inside << " of 100 seeds\n";
  CHECK(inside >= 90);
}
