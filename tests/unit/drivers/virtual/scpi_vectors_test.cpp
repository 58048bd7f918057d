// Runs every vector of data/scpi_vectors.txt that concerns a parser of commands. Its head names the
// sources.

#include <fstream>
#include <functional>
#include <map>
#include <sstream>
#include <vector>

#include "catch.hpp"
#include "drivers/virtual/scpi_fault.hpp"
#include "drivers/virtual/scpi_header.hpp"
#include "drivers/virtual/scpi_instrument.hpp"
#include "drivers/virtual/scpi_parameter.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using Fields = std::vector<std::string>;

std::string trimmed(const std::string& text) {
  const auto begin = text.find_first_not_of(' ');
  return begin == std::string::npos ? ""
                                    : text.substr(begin, text.find_last_not_of(' ') - begin + 1);
}

Fields split(const std::string& text, const std::string& separator) {
  Fields fields;
  std::size_t begin = 0;
  for (std::size_t end = text.find(separator); end != std::string::npos;
       end = text.find(separator, begin)) {
    fields.push_back(trimmed(text.substr(begin, end - begin)));
    begin = end + separator.size();
  }
  fields.push_back(trimmed(text.substr(begin)));
  return fields;
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// 0, or the number of the error that the call throws.
int fault_of(const std::function<void()>& call) {
  try {
    call();
  } catch (const ScpiFault& fault) {
    return fault.number;
  }
  return 0;
}

ScpiInstrument plain_instrument(std::size_t queue_length = 16) {
  return ScpiInstrument(
      "SAGBENCH,TEST,0,0", [](Time) {}, {}, queue_length);
}

void check_header(const std::string& input, const std::string& expected) {
  const Fields sides = split(input, "<-");
  const HeaderPattern pattern(sides[0]);
  if (contains(expected, "Undefined header")) {
    ScpiInstrument instrument = plain_instrument();
    CHECK(ask(instrument, sides[1]).empty());
    CHECK(take_error(instrument) == std::stoi(expected));
    return;
  }
  std::vector<int> suffixes;
  for (const std::string& header : split(sides[1], ";")) {
    const auto match = pattern.match(header);
    CHECK(match.has_value() == !contains(expected, "no match"));
    if (match && !match->empty()) suffixes.push_back(match->front());
  }
  if (contains(expected, "suffix absent")) CHECK(suffixes == std::vector<int>{1, 1, 2});
}

void check_path(const std::string& input, const std::string& expected) {
  if (contains(expected, "two answers")) {
    ScpiInstrument instrument = plain_instrument();
    CHECK(ask(instrument, input) == "SAGBENCH,TEST,0,0;SAGBENCH,TEST,0,0\n");
    return;
  }
  const std::string phrase = contains(expected, "resolves to ") ? "resolves to " : "unit is ";
  const std::string full = split(expected.substr(expected.find(phrase) + phrase.size()), " ")[0];
  HeaderPath path;
  std::string last;
  for (const std::string& unit : split(input, ";")) last = path.resolve(unit);
  CHECK(last == (full[0] == ':' ? full.substr(1) : full));
}

void check_number(const std::string& input, const std::string& expected) {
  const std::map<std::string, std::string> units = {{"volt", "V"}, {"ohm", "OHM"}, {"ampere", "A"}};
  const Fields inputs = split(split(split(input, " as a ")[0], " where ")[0], ";");
  const Fields results = split(expected, ";");
  for (std::size_t i = 0; i < inputs.size(); ++i) {
    const std::string text = inputs[i] == "(nothing)" ? "" : inputs[i];
    const Fields words = split(results[i], " ");
    const auto named = words.size() > 1 ? units.find(words[1]) : units.end();
    const std::string unit = named != units.end()        ? named->second
                             : contains(expected, "131") ? "V"
                                                         : "";
    if (results[i][0] == '-') {
      CHECK(fault_of([&] { parse_number(text, unit); }) == std::stoi(results[i]));
    } else {
      CHECK(parse_number(text, unit) == Approx(std::stod(results[i])).epsilon(1e-12));
    }
  }
  // Table 7-2: the same letters before another unit.
  if (contains(expected, "bare multiplier")) CHECK(parse_number("1 MAV", "V") == Approx(1e6));
}

void check_channel(const std::string& input, const std::string& expected) {
  if (contains(expected, "Expression error")) {
    for (const std::string& list : split(input, ";")) {
      CHECK(fault_of([&] { parse_channels(list); }) == std::stoi(expected));
    }
  } else if (contains(expected, "two-dimensional")) {
    const auto ranges = parse_channel_ranges(input);
    REQUIRE(ranges.size() == 2);
    CHECK(ranges[0].first == std::vector<int>{1});
    CHECK(ranges[1].first == std::vector<int>{2, 5});
    CHECK(ranges[1].last == std::vector<int>{3, 6});
  } else {
    std::istringstream numbers(split(expected, "[")[0]);
    std::vector<int> channels;
    for (int channel = 0; numbers >> channel;) channels.push_back(channel);
    CHECK(parse_channels(input) == channels);
  }
}

void check_boolean(const std::string& input, const std::string& expected) {
  if (expected[0] == '-') {
    CHECK(fault_of([&] { parse_boolean(input); }) == std::stoi(expected));
    return;
  }
  const Fields values = split(split(expected, ";")[0], " ");
  const Fields inputs = split(input, ";");
  REQUIRE(values.size() == inputs.size());
  for (std::size_t i = 0; i < inputs.size(); ++i)
    CHECK(parse_boolean(inputs[i]) == (values[i] == "true"));
}

void check_text(const std::string& input, const std::string& expected) {
  CHECK(virtual_bench::quoted(split(input, " as a ")[0]) == expected);
}

void check_identity(const std::string& input, const std::string& expected) {
  REQUIRE(contains(expected, "four comma-separated fields"));
  VirtualBench bench(lfp_world(), load_spec(), meter_spec(), 7);
  CHECK(split(ask(bench.load(), input), ",").size() == 4);
  CHECK(split(ask(bench.meter(), input), ",").size() == 4);
}

void check_queue(const std::string& input, const std::string& expected) {
  REQUIRE(input == "queue of 4, five -101 events");
  ScpiInstrument instrument = plain_instrument(4);
  for (int i = 0; i < 5; ++i) ask(instrument, "\x01");
  for (const std::string& entry : split(expected, ";"))
    CHECK(take_error(instrument) == std::stoi(entry));
}

void check_answer(const std::string& input, const std::string& expected) {
  ScpiInstrument instrument = plain_instrument();
  CHECK(ask(instrument, input) == expected + "\n");
}

void check_event_register(const std::string& input, const std::string& expected) {
  REQUIRE(input == "bad header, then *ESR? twice");
  ScpiInstrument instrument = plain_instrument();
  ask(instrument, "NONSENSE");
  CHECK(ask(instrument, "*ESR?") == split(expected, " ")[0] + "\n");
  CHECK(ask(instrument, "*ESR?") == "0\n");
}

void check_status_byte(const std::string& input, const std::string& expected) {
  REQUIRE(input == "bad header with *ESE 32 and *SRE 255");
  ScpiInstrument instrument = plain_instrument();
  ask(instrument, "*ESE 32;*SRE 255");
  ask(instrument, "NONSENSE");
  CHECK(ask(instrument, "*STB?") == split(expected, " ")[0] + "\n");
}

}  // namespace

TEST_CASE("the command parser agrees with published SCPI parser vectors") {
  const std::map<std::string, std::function<void(const std::string&, const std::string&)>> checks =
      {{"header", check_header},   {"path", check_path},          {"number", check_number},
       {"channel", check_channel}, {"bool", check_boolean},       {"text", check_text},
       {"idn", check_identity},    {"queue", check_queue},        {"opc", check_answer},
       {"version", check_answer},  {"esr", check_event_register}, {"stb", check_status_byte}};
  std::ifstream file(SAGBENCH_TEST_DATA "/unit/drivers/data/scpi_vectors.txt");
  REQUIRE(file.is_open());
  int run = 0;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] == '#') continue;
    const Fields fields = split(line, " | ");
    REQUIRE(fields.size() == 3);
    // How to read an answer is the driver's; no command here takes a block.
    if (fields[0] == "special" || fields[0] == "block") continue;
    INFO(line);
    const auto check = checks.find(fields[0]);
    REQUIRE(check != checks.end());
    check->second(fields[1], fields[2]);
    ++run;
  }
  CHECK(run == 40);  // of 47 in the file
}

}  // namespace sagbench::drivers::virtual_bench::test
