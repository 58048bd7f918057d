#include "bench/system/wall_time.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <chrono>

namespace sagbench::bench {
namespace {

using std::chrono::system_clock;

std::string to_the_second(system_clock::time_point at) {
  return fmt::format("{:%Y-%m-%dT%H:%M:%S}", fmt::gmtime(system_clock::to_time_t(at)));
}

}  // namespace

std::string utc_now() {
  return to_the_second(system_clock::now()) + "Z";
}

std::string utc_now_ms() {
  const auto now = std::chrono::floor<std::chrono::milliseconds>(system_clock::now());
  const auto second = std::chrono::floor<std::chrono::seconds>(now);
  return fmt::format("{}.{:03}Z", to_the_second(second), (now - second).count());
}

}  // namespace sagbench::bench
