#include "bench/live/request_rate.hpp"

#include "catch.hpp"

using namespace sagbench::live;

namespace {

int admitted(RequestRate& rate, const std::string& address, double at_s, int tries) {
  int count = 0;
  for (int i = 0; i < tries; ++i) count += rate.admit(address, at_s) ? 1 : 0;
  return count;
}

}  // namespace

TEST_CASE("so many at once, then so many a second, each address by itself") {
  RequestRate rate(8.0, 40.0);
  CHECK(admitted(rate, "a", 0.0, 100) == 40);
  CHECK(admitted(rate, "b", 0.0, 100) == 40);
  CHECK(admitted(rate, "a", 1.0, 100) == 8);
  CHECK(admitted(rate, "a", 1.0, 100) == 0);
  CHECK(admitted(rate, "a", 3.5, 100) == 20);
  CHECK(admitted(rate, "a", 1000.0, 100) == 40);
}

TEST_CASE("a wrong token counts as several requests") {
  RequestRate rate(8.0, 40.0);
  for (int i = 0; i < 7; ++i) rate.punish("a", 0.0);
  CHECK(admitted(rate, "a", 0.0, 100) == 5);
  rate.punish("a", 0.0);
  CHECK(admitted(rate, "a", 1.0, 100) == 8);
}

TEST_CASE("many addresses take no more room, and the busy one stays known") {
  RequestRate rate(8.0, 40.0);
  CHECK(admitted(rate, "busy", 0.0, 100) == 40);
  for (std::size_t i = 0; i < 3 * RequestRate::kAddresses; ++i)
    CHECK(rate.admit(std::to_string(i), 0.0));
  CHECK(admitted(rate, "busy", 0.0, 100) == 0);
}
