// `sagbench plan`: what it will take, before anything is connected.

#include <fmt/format.h>

#include "bench/commands/commands.hpp"
#include "bench/run/plan_forecast.hpp"
#include "bench/run/run_session.hpp"
#include "bench/safety/dialect_check.hpp"
#include "bench/safety/pre_check.hpp"

namespace sagbench::bench {

int command_plan(const std::string& bench, const std::string& pack, const std::string& plan) {
  const BenchAndPack on = read_bench_and_pack(bench, pack);
  const SourceFile file = read_source(plan);
  const Plan read = plan_from_json(file.json, file.path, file.folder);
  check_plan(read, on.pack, on.bench);
  fmt::print("{}", forecast_text(forecast(read, on.pack, on.bench), read, on.pack, on.bench));
  const auto dialect = dialect_for(bench, "load.dialect", on.bench.load.dialect);
  if (!dialect.low_voltage_stop && !dialect.watchdog)
    fmt::print("The load has no low-voltage stop and no watchdog: stay by the run (--attended).\n");
  return 0;
}

}  // namespace sagbench::bench
