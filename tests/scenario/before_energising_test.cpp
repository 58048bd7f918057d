// Guarantee 6: what must never start, and what must be done before anything is drawn. The whole
// session, as `sagbench run` has it, with answers led astray from the first one on.

#include <algorithm>

#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/run/run_session.hpp"
#include "bench/run/surroundings.hpp"
#include "bench/safety/stop.hpp"
#include "catch.hpp"
#include "reports/archive.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;

namespace {

bench::SourceFile file(const std::string& path, nlohmann::json json) {
  return {path, ".", std::move(json)};
}

const nlohmann::json kBench = {
    {"schema", "sagbench/bench/1"},
    {"load",
     {{"port", "virtual"},
      {"dialect", "scpi-1999-guarded"},
      {"max_current_A", 30},
      {"max_power_W", 400},
      {"max_voltage_V", 60},
      {"min_voltage_V", 1.0}}},
    {"meter",
     {{"port", "virtual"},
      {"channels", {{"pack", 101}, {"cells", {102, 103, 104, 105}}, {"temperature", 106}}}}}};
const nlohmann::json kPack = {{"schema", "sagbench/pack/1"}, {"name", "Test pack"},
                              {"chemistry", "LFP"},          {"series", 4},
                              {"rated_capacity_Ah", 10},     {"max_discharge_current_A", 20}};

/// A session whose instruments' answers pass through `meddle`.
class Beginning {
 public:
  explicit Beginning(Meddle meddle) : meddle_(std::move(meddle)) {}

  bench::RunResult run() {
    bench::RunRequest request{read(), {}, folder_.file("a.db"), false, bench::Telling::nothing,
                              1,      {}};
    request.plan = bench::plan_from_json(
        {{"schema", "sagbench/plan/1"}, {"steps", {{{"do", "capacity"}, {"current_A", 10}}}}},
        "plan.json", ".");
    drivers::virtual_bench::VirtualBench world(bench::world_of(request.on.pack, request.on.bench),
                                               bench::load_of(request.on.bench),
                                               bench::meter_of(request.on.bench), 1);
    const bench::Surroundings around{
        world,
        drivers::Time(0),
        [this](std::unique_ptr<drivers::Transport> line,
               drivers::Clock& clock) -> std::unique_ptr<drivers::Transport> {
          const std::string name = line->name();
          return std::make_unique<TappedTransport>(std::move(line), name, clock, sent_, meddle_,
                                                   no_delay_s_);
        },
        {},
        [this](const std::string&) { ++alarms_; }};
    return bench::run_session(request, around);
  }

  /// The message of the refusal.
  std::string refused() {
    try {
      run();
    } catch (const bench::InputError& refusal) {
      return refusal.what();
    }
    return "not refused";
  }

  const std::vector<Sent>& sent() const { return sent_; }
  int alarms() const { return alarms_; }
  bool sent(const std::string& text) const { return place_of(text) < sent_.size(); }
  std::size_t place_of(const std::string& text) const {
    return static_cast<std::size_t>(
        std::find_if(sent_.begin(), sent_.end(),
                     [&](const Sent& s) { return s.text.rfind(text, 0) == 0; }) -
        sent_.begin());
  }

 private:
  static bench::BenchAndPack read() {
    bench::BenchAndPack on{file("bench.json", kBench), file("pack.json", kPack), {}, {}};
    on.bench = bench::bench_from_json(on.bench_file.json, "bench.json");
    on.pack = bench::pack_from_json(on.pack_file.json, "pack.json");
    return on;
  }

  TemporaryFolder folder_;
  Meddle meddle_;
  double no_delay_s_ = 0.0;
  std::vector<Sent> sent_;
  int alarms_ = 0;
};

Meddle answering(const std::string& question, const std::string& with) {
  return [=](double, const std::string&, const std::string& asked, std::string& answer) {
    if (asked == question) answer = with + "\n";
    return true;
  };
}

}  // namespace

TEST_CASE("guarantee 6: nothing starts on a pack that is wrong") {
  struct Wrong {
    std::string question, answer, says;
  };
  for (const Wrong& wrong : {
           Wrong{"MEAS:VOLT? (@101)", "-13.2", "polarity is reversed"},
           Wrong{"MEAS:VOLT? (@101)", "0.01", "nothing is connected"},
           Wrong{"MEAS:VOLT? (@101)", "26.4", "implausible"},
           Wrong{"MEAS:VOLT? (@101)", "10.9", "implausible"},
           Wrong{"MEAS:VOLT?", "12.0", "should agree with the input off"},
           Wrong{"MEAS:VOLT? (@103)", "1.2", "cell 2"},
           Wrong{"MEAS:VOLT? (@103)", "-3.3", "cell 2"},
           Wrong{"MEAS:TEMP? (@106)", "-21", "temperature"},
           Wrong{"MEAS:TEMP? (@106)", "61", "temperature"},
       }) {
    CAPTURE(wrong.question, wrong.answer);
    Beginning beginning(answering(wrong.question, wrong.answer));
    const std::string refusal = beginning.refused();
    CAPTURE(refusal);
    CHECK(refusal.find(wrong.says) != std::string::npos);
    CHECK_FALSE(beginning.sent("INP ON"));
  }
}

TEST_CASE("guarantee 6: current that flows with the input off is an alarm until it stops") {
  Beginning beginning(answering("MEAS:CURR?", "1.5"));
  std::string stopped;
  try {
    beginning.run();
  } catch (const bench::Stop& stop) {
    CHECK(stop.end() == reports::RunEnd::instrument);
    stopped = stop.what();
  }
  CHECK(stopped.find("pull the pack's lead") != std::string::npos);
  CHECK(beginning.alarms() > 1);
  CHECK_FALSE(beginning.sent("INP ON"));
}

TEST_CASE("a load that needs a moment to let go after OFF is no alarm") {
  Beginning beginning(
      [](double now_s, const std::string&, const std::string& asked, std::string& answer) {
        if (asked == "MEAS:CURR?" && now_s < 0.3) answer = "1.5\n";
        return true;
      });
  CHECK(beginning.run().closing.end == reports::RunEnd::done);
  CHECK(beginning.alarms() == 0);
}

TEST_CASE("OFF is the first thing a load is told, and its own protections stand before ON") {
  Beginning beginning(nullptr);
  CHECK(beginning.run().closing.load_confirmed_off);
  const std::size_t on = beginning.place_of("INP ON");
  REQUIRE(on < beginning.sent().size());
  const auto& sent = beginning.sent();
  const auto first_setting = std::find_if(sent.begin(), sent.end(), [](const Sent& s) {
    return s.text.find('?') == std::string::npos && s.text.front() != '*';
  });
  CHECK(first_setting->text == "INP OFF");
  for (const std::string guard : {"CURR:PROT ", "POW:PROT ", "POW:PROT?", "VOLT:PROT:LOW ",
                                  "VOLT:PROT:LOW?", "SYST:WATC ", "SYST:WATC?"}) {
    CAPTURE(guard);
    CHECK(beginning.place_of(guard) < on);
  }
}
