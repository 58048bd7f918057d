#include "bench/text/wiring_text.hpp"

#include <sstream>

#include "bench/text/text_width.hpp"
#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;

namespace {

bool has(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

Bench scanning() {
  Bench bench;
  bench.meter.emplace();
  bench.meter->channels = {101, {102, 103, 104, 105}, 106};
  return bench;
}

}  // namespace

TEST_CASE("without a meter the load senses, and nobody measures heat") {
  const std::string text = wiring_text({}, {});
  CHECK(has(text, "[fuse]="));
  CHECK(has(text, "o load sense +"));
  CHECK(has(text, "o load sense -"));
  CHECK(has(text, "feel the pack often"));
  CHECK_FALSE(has(text, "taps"));
}

TEST_CASE("fuse, channels, taps and thermometer stand as the files have them") {
  analysis::Pack pack;
  pack.fuse_a = 30.0;
  const std::string text = wiring_text(pack, scanning());
  CHECK(has(text, "[fuse 30 A]="));
  CHECK(has(text, "o meter +, channel 101"));
  CHECK(has(text, "cell 1: channel 102"));
  CHECK(has(text, "cell 4: channel 105"));
  CHECK(has(text, "channel 106: against the middle of the pack"));
}

TEST_CASE("no line of the drawing is longer than a terminal's") {
  std::istringstream lines(wiring_text({}, scanning()));
  for (std::string line; std::getline(lines, line);) CHECK(text_width(line) <= 80);
}
