#include <cmath>
#include <sstream>
#include <vector>

#include "catch.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

std::vector<double> numbers(const std::string& answer) {
  std::vector<double> values;
  std::istringstream text(answer);
  for (std::string field; std::getline(text, field, ',');) values.push_back(std::stod(field));
  return values;
}

// 0.005 % of reading + 0.002 % of 20 V, and five standard deviations of noise.
double class_v(double reading_v) {
  return 0.00005 * reading_v + 0.00002 * 20.0 + 5 * 30e-6;
}

}  // namespace

TEST_CASE("the meter reads the pack at its sense points and each cell at its own terminals") {
  WorldSpec world = lfp_world();
  world.cells[1].charge_offset = 0.3;
  VirtualBench bench(world, load_spec(), meter_spec(), 3);
  ask(bench.load(), "CURR 8;:INP ON");
  const Truth truth = bench.truth(60s);
  const double pack_v = ask_number(bench.meter(), "MEAS:VOLT? (@101)", 60s);
  CHECK(std::abs(pack_v - truth.pack_v) < class_v(pack_v));
  const auto cells = numbers(ask(bench.meter(), "MEAS:VOLT? (@102:105)", 60s));
  REQUIRE(cells.size() == 4);
  for (std::size_t i = 0; i < 4; ++i)
    CHECK(std::abs(cells[i] - truth.cell_v[i]) < class_v(cells[i]));
  CHECK(cells[1] < cells[0] - 0.005);
  // Contacts belong to the pack, not to a cell.
  CHECK(truth.cell_v[0] + truth.cell_v[1] + truth.cell_v[2] + truth.cell_v[3] - truth.pack_v ==
        Approx(truth.current_a * 0.001).epsilon(1e-6));
}

TEST_CASE("channel lists are answered in their order, a reading each, with the time each takes") {
  VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 3);
  const auto answers = bench.meter().receive("MEAS:VOLT? (@103,101,104:105)\n", 0s);
  REQUIRE(answers.size() == 1);
  const auto values = numbers(answers[0].bytes);
  REQUIRE(values.size() == 4);
  CHECK(values[1] > 4 * 3.3);
  CHECK(values[0] < 3.6);
  CHECK(answers[0].ready >= 4 * 8ms);
}

TEST_CASE("without channels the meter reads the pack") {
  MeterSpec spec;
  spec.voltage = {0.00005, 0.00002, 20.0};
  VirtualBench bench(lfp_world(), load_spec(), spec, 3);
  const double pack_v = ask_number(bench.meter(), "MEAS:VOLT:DC?");
  CHECK(std::abs(pack_v - bench.truth(0s).pack_v) < class_v(pack_v));
}

TEST_CASE("channels that do not exist or measure something else are refused") {
  VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 3);
  const auto error_of = [&bench](const std::string& message) {
    CHECK(ask(bench.meter(), message).empty());
    return take_error(bench.meter());
  };
  CHECK(error_of("MEAS:VOLT? (@107)") == -222);
  CHECK(error_of("MEAS:VOLT? (@101,107)") == -222);
  CHECK(error_of("MEAS:VOLT? (@106)") == -221);
  CHECK(error_of("MEAS:TEMP? (@101)") == -221);
  CHECK(error_of("MEAS:TEMP? (@107)") == -222);
  CHECK(error_of("MEAS:VOLT? (@1!1)") == -222);
  CHECK(error_of("MEAS:VOLT? (@101:999999999)") == -223);
  CHECK(error_of("MEAS:VOLT? (@101") == -102);
  CHECK(error_of("MEAS:VOLT? (@101,)") == -170);
  CHECK(error_of("MEAS:VOLT? 101") == -104);
  MeterSpec plain;
  VirtualBench bare(lfp_world(), load_spec(), plain, 3);
  CHECK(ask(bare.meter(), "MEAS:TEMP?").empty());
  CHECK(take_error(bare.meter()) == -241);
}

TEST_CASE("temperature is read within its class") {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    VirtualBench bench(lfp_world(), load_spec(), meter_spec(), seed);
    CHECK(ask_number(bench.meter(), "MEAS:TEMP? (@106)") == Approx(25.0).margin(0.56));
  }
}

TEST_CASE("noise is there, and averages away as noise does") {
  VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 3);
  double sum = 0.0;
  double squares = 0.0;
  constexpr int kReadings = 2000;
  const double first = ask_number(bench.meter(), "MEAS:VOLT? (@101)");
  for (int i = 0; i < kReadings; ++i) {
    const double off = ask_number(bench.meter(), "MEAS:VOLT? (@101)") - first;
    sum += off;
    squares += off * off;
  }
  const double mean = sum / kReadings;
  const double deviation = std::sqrt(squares / kReadings - mean * mean);
  CHECK(deviation > 20e-6);
  CHECK(deviation < 50e-6);
}

// White noise averages with the root of the integration time: a hundred times longer, ten times
// quieter.
TEST_CASE("a longer integration time is slower and quieter") {
  const auto deviation = [](const std::string& cycles) {
    VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 3);
    ask(bench.meter(), "SENS:VOLT:NPLC " + cycles);
    double sum = 0.0;
    double squares = 0.0;
    constexpr int kReadings = 2000;
    const double first = bench.truth(0s).pack_v;
    for (int i = 0; i < kReadings; ++i) {
      const double off = ask_number(bench.meter(), "MEAS:VOLT? (@101)") - first;
      sum += off;
      squares += off * off;
    }
    return std::sqrt(squares / kReadings - sum / kReadings * sum / kReadings);
  };
  // The converter's 10 uV step is as coarse as the quiet reading's noise: compare above it.
  CHECK(deviation("0.04") / deviation("0.4") == Approx(std::sqrt(10.0)).epsilon(0.1));
  VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 3);
  CHECK(ask_number(bench.meter(), "VOLT:NPLC?") == Approx(0.4));
  ask(bench.meter(), "SENS:VOLT:DC:NPLC 10");
  CHECK(ask_number(bench.meter(), "SENS:VOLT:NPLC?") == 10.0);
  const auto answers = bench.meter().receive("MEAS:VOLT? (@101:105)\n", 10s);
  CHECK(answers.at(0).ready - 10s >= 1s);  // five times ten cycles of 20 ms
  CHECK(answers.at(0).ready - 10s < 1010ms);
  ask(bench.meter(), "*RST");
  CHECK(ask_number(bench.meter(), "VOLT:NPLC?") == Approx(0.4));
  ask(bench.meter(), "VOLT:NPLC 1000");
  CHECK(take_error(bench.meter()) == -222);
}

}  // namespace sagbench::drivers::virtual_bench::test
