// New files from answers: what is asked, what stands in for an answer, what is refused.

#include <algorithm>
#include <fstream>

#include "analysis/chemistry.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/files/pretty_json.hpp"
#include "bench/forms/filling.hpp"
#include "catch.hpp"
#include "drivers/device_transport.hpp"
#include "temporary_folder.hpp"

using namespace sagbench;
using bench::Filling;
using bench::Form;
using bench::form_of;
using nlohmann::json;

namespace {

template <class Act>
std::string fault(Act act) {
  try {
    act();
  } catch (const bench::InputError& error) {
    return error.what();
  }
  return "no fault";
}

/// In a folder with the radio that operations and plans name.
bench::Place place() {
  static const tests::TemporaryFolder folder;
  std::ofstream(folder.file("radio.json"))
      << R"({"schema": "sagbench/radio/1", "name": "R", "class": "QRO", "supply_min_V": 11.7,
             "supply_max_V": 15.9, "receive_A": 1, "transmit_peak_A": 20})";
  return {"new.json", folder.path().string()};
}

json made(const Form& form, const std::vector<std::string>& told) {
  Filling filling(form, place());
  filling.tell(told);
  return filling.file();
}

std::string fault_of(const std::string& kind, const std::vector<std::string>& told) {
  const Form form = form_of(kind);
  return fault([&] { made(form, told); });
}

/// Everything that has no usual value, answered by its example.
json least(const Form& form) {
  Filling filling(form, place());
  while (const bench::Question* question = filling.next()) {
    const bool example = question->required && !filling.usual_of(*question);
    filling.answer(*question, !example                        ? ""
                              : question->example.is_string() ? question->example.get<std::string>()
                                                              : question->example.dump());
  }
  return filling.file();
}

}  // namespace

TEST_CASE("each kind asks few questions, and the least answers make a file that is accepted") {
  for (const std::string& kind : bench::form_kinds()) {
    CAPTURE(kind);
    const Form form = form_of(kind);
    CHECK(std::ranges::count_if(form.questions, &bench::Question::asked) <= 15);
    const json file = least(form);
    CHECK(file.at("schema") == "sagbench/" + kind + "/1");
    CHECK_NOTHROW(form.check(file, place()));
  }
}

TEST_CASE("a pack of each chemistry has that chemistry's limits") {
  for (const auto chemistry : analysis::chemistry_names()) {
    CAPTURE(chemistry);
    const json file = made(form_of("pack"), {"name=P", "rated_capacity_Ah=7.5",
                                             "chemistry=" + std::string(chemistry)});
    const auto pack = bench::pack_from_json(file, "p");
    const auto& limits = analysis::limits_of(*analysis::chemistry_from(chemistry));
    CHECK(*pack.end_of_discharge_v == Approx(pack.series * limits.end_of_discharge_v));
    CHECK(*pack.end_of_charge_v == Approx(pack.series * limits.end_of_charge_v));
    CHECK(analysis::nominal_voltage_v(pack) == Approx(12.0).margin(1.2));
    CHECK(*pack.max_discharge_current_a == Approx(7.5));
    CHECK(file.contains("protection_board") == limits.lithium);
  }
}

TEST_CASE("what is told may come in any order") {
  const json file = made(form_of("pack"), {"end_of_discharge_V=20", "series=8", "name=P",
                                           "rated_capacity_Ah=10", "fuse_A=-"});
  CHECK(file.at("series") == 8);
  CHECK(file.at("end_of_discharge_V") == 20);
  CHECK_FALSE(file.contains("fuse_A"));
}

TEST_CASE("a refused answer leaves the question open") {
  const Form form = form_of("pack");
  Filling filling(form, place());
  const auto* name = filling.next();
  CHECK(fault([&] { filling.answer(*name, "  "); }) == "new.json: \"name\": an answer is needed");
  CHECK(filling.next() == name);
  filling.answer(*name, " Hilltop ");
  while (filling.next()->key != "rated_capacity_Ah") filling.answer(*filling.next(), "");
  const auto* rated = filling.next();
  for (const char* wrong : {"0", "-3", "ten", "10 Ah", "1e9"})
    CHECK(fault([&] { filling.answer(*rated, wrong); }).find("\"rated_capacity_Ah\"") !=
          std::string::npos);
  filling.answer(*rated, "10");
  CHECK(filling.next()->key == "max_discharge_current_A");
  CHECK(filling.usual_of(*filling.next())->value == 10);
  CHECK(json(filling.file()).at("name") == "Hilltop");
}

TEST_CASE("what told words lack or have too much is said") {
  const std::string lacking = fault_of("pack", {"name=P"});
  CHECK(lacking.find("\"rated_capacity_Ah\" is missing: ") != std::string::npos);
  CHECK(lacking.ends_with("; tell it as rated_capacity_Ah=..."));
  CHECK(fault_of("pack", {"nmae=P"}).find("\"nmae\" is no key of a new pack file; one of name") !=
        std::string::npos);
  CHECK(fault_of("pack", {"name"}) == "\"name\": KEY=VALUE is expected, such as name=Hilltop");
  CHECK(fault_of("pack", {"name=P", "name=Q"}) == "\"name\" is told twice; tell it once");
  CHECK(fault_of("pack", {"name="}).find("an answer is needed") != std::string::npos);
  CHECK(fault_of("pack", {"protection_board=perhaps"}).find("\"protection_board\"") !=
        std::string::npos);
  CHECK(fault_of("radio", {"name=R", "supply_min_V=14", "supply_nominal_V=12"})
            .find("\"supply_nominal_V\"") != std::string::npos);
  CHECK(fault_of("operation", {"name=O", "hours=4", "radio=none.json"}).find("none.json") !=
        std::string::npos);
  CHECK(fault_of("bench", {"load.port=COM"}).find("\"load.port\"") != std::string::npos);
  CHECK(fault_of("bench", {"load.dialect=scpi-1998"}).find("\"load.dialect\"") !=
        std::string::npos);
}

TEST_CASE("a bench on serial lines is asked for their speeds, a simulated one is not") {
  const json real =
      made(form_of("bench"),
           {"load.port=" + std::string(drivers::device_example()), "load.max_current_A=30",
            "load.max_power_W=300", "load.max_voltage_V=60", "meter.port=tcp:192.0.2.7:5025",
            "meter.channels.pack=101", "meter.channels.cells=102 103, 104,105"});
  CHECK(real.at("load").at("baud") == 115200);
  CHECK_FALSE(real.at("meter").contains("baud"));
  CHECK(real.at("meter").at("channels").at("cells") == json({102, 103, 104, 105}));
  CHECK_FALSE(least(form_of("bench")).at("load").contains("baud"));
  CHECK(fault_of("bench",
                 {"load.accuracy.current.of_reading=0.001", "load.accuracy.current.of_range=0.001"})
            .find("\"load.accuracy.current.range_A\" is missing") != std::string::npos);
}

TEST_CASE("a plan asks for the peaks of its radio, as far as the pack bears them") {
  const std::string folder = place().folder;
  const auto plan_for = [&](const std::string& current) {
    std::ofstream(folder + "/pack.json") << bench::pretty_json(made(
        form_of("pack"),
        {"name=P", "rated_capacity_Ah=10", "chemistry=AGM", "max_discharge_current_A=" + current}));
    return made(form_of("plan"), {"find=radio", "pack=pack.json"});
  };
  const json peaks = plan_for("25").at("steps").at(1);
  CHECK(peaks.at("currents_A") == json({5, 10, 20}));
  CHECK(peaks.at("two_point") == true);
  CHECK(fault([&] { plan_for("15"); }) ==
        "new.json: \"radio\": radio.json draws 20 A at its peaks; pack.json allows at most 15 A");
  CHECK(fault_of("plan", {"find=all"}) ==
        "new.json: \"find\": \"all\" is not accepted; capacity, radio or both");
  const json capacity = made(form_of("plan"), {"find=capacity", "rate_It=0.05"});
  CHECK(capacity.at("steps").size() == 2);
  CHECK(capacity.at("steps").at(1).at("rate_It") == 0.05);
}

TEST_CASE("written JSON keeps the order of its keys, and lists of plain values stay on a line") {
  const nlohmann::ordered_json value = {
      {"b", {1, 2}}, {"a", {{"x", "1, 2"}}}, {"c", {{{"y", {}}}}}};
  CHECK(
      bench::pretty_json(value) ==
      "{\n  \"b\": [1, 2],\n  \"a\": {\n    \"x\": \"1, 2\"\n  },\n  \"c\": [\n    {\n      \"y\": "
      "null\n    }\n  ]\n}\n");
}
