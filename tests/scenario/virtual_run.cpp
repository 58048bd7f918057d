#include "virtual_run.hpp"

#include <stdexcept>

#include "bench/safety/dialect_check.hpp"

namespace sagbench::tests {

using drivers::virtual_bench::WorldSpec;

namespace {

constexpr double kPatience_s = 30.0;

WorldSpec world_spec(const analysis::Pack& pack, const bench::Bench& bench,
                     std::vector<drivers::virtual_bench::CellTrait> cells) {
  WorldSpec spec = bench::world_of(pack, bench);
  spec.cells = std::move(cells);
  return spec;
}

}  // namespace

nlohmann::json metered_bench() {
  return {
      {"schema", "sagbench/bench/1"},
      {"load",
       {{"port", "virtual"}, {"max_current_A", 30}, {"max_power_W", 600}, {"max_voltage_V", 60}}},
      {"meter", {{"port", "virtual"}, {"channels", {{"pack", 101}}}}}};
}

reports::RunRecord record_of(const std::string& archive) {
  const reports::Archive file(archive, reports::Archive::Access::read);
  const auto runs = file.runs();
  if (runs.size() != 1) throw std::logic_error(archive + " does not hold one run");
  return file.load(runs.front().id);
}

analysis::Pack demo_pack() {
  analysis::Pack pack;
  pack.name = "Test pack";
  pack.chemistry = analysis::Chemistry::lfp;
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  pack.max_discharge_current_a = 30.0;
  return pack;
}

bench::Bench demo_bench(int taps) {
  bench::Bench made;
  made.load = {"virtual",
               115200,
               "scpi-1999",
               30.0,
               400.0,
               60.0,
               1.0,
               analysis::AccuracyTerm{0.0005, 0.0002, 60.0},
               analysis::AccuracyTerm{0.001, 0.0005, 30.0},
               ""};
  bench::MeterEntry meter;
  meter.port = "virtual";
  meter.channels.pack = 101;
  for (int tap = 0; tap < taps; ++tap) meter.channels.cells.push_back(102 + tap);
  meter.channels.temperature = 120;
  meter.voltage = analysis::AccuracyTerm{0.00005, 0.00002, 20.0};
  meter.temperature_c = 0.5;
  made.meter = meter;
  made.leads_ohm = 0.004;
  return made;
}

VirtualRun::VirtualRun(analysis::Pack pack, bench::Bench bench_entry, std::uint64_t seed,
                       std::vector<drivers::virtual_bench::CellTrait> cells)
    : pack_(std::move(pack)),
      bench_(std::move(bench_entry)),
      limits_(bench::limits_for(pack_, bench_)),
      world_(world_spec(pack_, bench_, std::move(cells)), bench::load_of(bench_),
             bench::meter_of(bench_), seed) {
  auto& clock = loop_.clock();
  load_ = std::make_unique<drivers::ElectronicLoad>(
      std::make_unique<TappedTransport>(world_.load_transport(clock), "load", clock, sent_, meddle,
                                        answer_takes_s, &cut),
      clock, bench::dialect_for("bench.json", "load.dialect", bench_.load.dialect));
  if (bench_.meter)
    meter_ = std::make_unique<drivers::Meter>(
        std::make_unique<TappedTransport>(world_.meter_transport(clock), "meter", clock, sent_,
                                          meddle, answer_takes_s, &cut),
        clock, drivers::scpi_1999(), bench_.meter->channels);
  rig_ = std::make_unique<bench::Rig>(clock, *load_, meter_.get(), limits_);
}

reports::RunClosing VirtualRun::run(const nlohmann::json& steps, const std::string& archive) {
  const auto plan =
      bench::plan_from_json({{"schema", "sagbench/plan/1"}, {"steps", steps}}, "plan.json", ".");
  reports::RunHeader header;
  header.utc = "2026-06-20T08:00:00Z";
  header.pack_name = pack_.name;
  header.software = "test";
  reports::Archive opened(archive, reports::Archive::Access::write,
                          reports::Archive::Durability::process_crash);
  const std::string id = opened.begin_run(header);
  journal_ =
      std::make_unique<bench::Journal>(std::move(opened), id, loop_.io(), loop_.clock(), false);
  rig_->attach(*journal_);
  auto closing = loop_.run(carry_out(plan), [this] {
    const bool meddled = meanwhile && meanwhile(rig_->now_s());
    const bool written = !disk_hangs && journal_->wait_for_writer();
    return written || meddled;
  });
  journal_.reset();
  return closing;
}

boost::asio::awaitable<reports::RunClosing> VirtualRun::carry_out(const bench::Plan& plan) {
  const auto opened = co_await load_->open();
  if (!opened) throw std::runtime_error(opened.error().message);
  if (meter_) {
    const auto meter_opened = co_await meter_->open();
    if (!meter_opened) throw std::runtime_error(meter_opened.error().message);
  }
  const drivers::Guards guards{30.0, limits_.power_high_w, limits_.pack_low_v, 10.0};
  const auto protected_by = co_await load_->protect(guards);
  if (!protected_by) throw std::runtime_error(protected_by.error().message);
  bench::VirtualRecharger recharger(world_, loop_.clock());
  bench::Progress progress;
  const auto foretelling = foretell ? foretell(journal_->run_id()) : nullptr;
  double off_began_s = -1.0;
  const auto give_up = [&] {
    if (off_began_s < 0.0) off_began_s = rig_->now_s();
    return rig_->now_s() - off_began_s > kPatience_s;
  };
  co_return co_await bench::run_plan(
      bench::RunParts{*rig_,
                      plan,
                      pack_,
                      recharger,
                      progress,
                      1,
                      bench::Agility{},
                      give_up,
                      [this](const std::string& trouble) { alarms_.push_back(trouble); },
                      nullptr,
                      {},
                      foretelling.get()});
}

}  // namespace sagbench::tests
