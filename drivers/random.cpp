#include "drivers/random.hpp"

#include <cmath>

namespace sagbench::drivers {
namespace {

// Neighbouring seeds must not give similar streams: one round of the splitmix64 finaliser.
std::uint64_t mix(std::uint64_t value) {
  value += 0x9E3779B97F4A7C15ULL;
  value = (value ^ (value >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  value = (value ^ (value >> 27U)) * 0x94D049BB133111EBULL;
  return value ^ (value >> 31U);
}

}  // namespace

Random::Random(std::uint64_t seed, std::uint64_t stream) : engine_(mix(mix(seed) + stream)) {}

double Random::uniform(double low, double high) {
  constexpr double kUnit = 1.0 / 9007199254740992.0;  // 2^-53
  return low + (high - low) * static_cast<double>(engine_() >> 11U) * kUnit;
}

double Random::normal() {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  double x = 0.0;
  double y = 0.0;
  double square = 0.0;
  do {
    x = uniform(-1.0, 1.0);
    y = uniform(-1.0, 1.0);
    square = x * x + y * y;
  } while (square >= 1.0 || square == 0.0);
  const double scale = std::sqrt(-2.0 * std::log(square) / square);
  spare_ = y * scale;
  has_spare_ = true;
  return x * scale;
}

}  // namespace sagbench::drivers
