// From a breach to OFF (guarantees 3 and 4), for every check that one reading can fail, on whole
// runs.

#include <string>
#include <vector>

#include "catch.hpp"
#include "virtual_run.hpp"

using namespace sagbench;
using namespace sagbench::tests;
using reports::RunEnd;

namespace {

const nlohmann::json kCapacity = {{{"do", "rest"}, {"seconds", 20}},
                                  {{"do", "capacity"}, {"rate_It", 0.5}}};

/// The messages after the one at `place`, up to and with the first OFF.
std::vector<Sent> until_off(const std::vector<Sent>& sent, std::size_t place) {
  std::vector<Sent> between;
  for (std::size_t i = place + 1; i < sent.size(); ++i) {
    between.push_back(sent[i]);
    if (sent[i].text == "INP OFF") break;
  }
  return between;
}

std::size_t last_before(const std::vector<Sent>& sent, const std::string& text, double time_s) {
  std::size_t place = 0;
  for (std::size_t i = 0; i < sent.size(); ++i)
    if (sent[i].time_s <= time_s && sent[i].text == text) place = i;
  return place;
}

}  // namespace

TEST_CASE("guarantees 3 and 4: a breach switches off with no other exchange in between") {
  const TemporaryFolder folder;
  struct Case {
    std::string asked;
    std::string answer;
    std::string reason;
  };
  // Every check that one reading can fail, by channel. Too much power alone cannot: the voltage or
  // the current would be out of its own limits first.
  const std::vector<Case> breaches = {{"MEAS:VOLT? (@101)", "7.9\n", "pack_low"},
                                      {"MEAS:VOLT? (@101)", "15.5\n", "pack_high"},
                                      {"MEAS:VOLT? (@102)", "1.9\n", "cell_low"},
                                      {"MEAS:VOLT? (@103)", "1.9\n", "cell_low"},
                                      {"MEAS:VOLT? (@104)", "1.9\n", "cell_low"},
                                      {"MEAS:VOLT? (@105)", "1.9\n", "cell_low"},
                                      {"MEAS:VOLT? (@104)", "3.9\n", "cell_high"},
                                      {"MEAS:TEMP? (@120)", "71\n", "temperature_high"},
                                      {"MEAS:TEMP? (@120)", "-21\n", "temperature_low"},
                                      {"MEAS:TEMP? (@120)", "32\n", "heating_fast"},
                                      {"MEAS:CURR?", "31.5\n", "current_high"},
                                      {"MEAS:CURR?", "-1\n", "current_high"},
                                      {"MEAS:CURR?", "5.6\n", "current_above_setpoint"},
                                      {"MEAS:VOLT?", "11.9\n", "contact"}};
  for (std::size_t i = 0; i < breaches.size(); ++i) {
    const Case& breach = breaches[i];
    INFO(breach.asked << " " << breach.answer);
    VirtualRun run(demo_pack(), demo_bench(4), 3);
    double broken_s = -1.0;
    run.meddle = [&](double time_s, const std::string&, const std::string& asked,
                     std::string& answer) {
      if (time_s > 600.0 && asked == breach.asked) {
        if (broken_s < 0.0) broken_s = time_s;
        answer = breach.answer;
      }
      return true;
    };
    const std::string archive = folder.file(std::to_string(i) + ".db");
    const auto closing = run.run(kCapacity, archive);
    CHECK(closing.end == RunEnd::safety);
    CHECK(closing.reason.rfind(breach.reason, 0) == 0);
    CHECK_FALSE(run.truth().input_on);
    const auto after = until_off(run.sent(), last_before(run.sent(), breach.asked, broken_s));
    REQUIRE(after.size() == 1U);
    CHECK(after.back().text == "INP OFF");
    const auto record = record_of(archive);
    CHECK(record.closing.end == RunEnd::safety);
    // A current alone is no sample yet: the one before it is the last.
    CHECK(record.samples.back().time_s ==
          Approx(broken_s).margin(breach.asked == "MEAS:CURR?" ? 2.5 : 0.2));
    CHECK(record.steps.back().end == analysis::StepEnd::interrupted);
  }
}
