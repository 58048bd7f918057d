#pragma once
// Random numbers that are the same on every machine: the standard's engine with our own transforms,
// because the standard leaves its distributions to the library.

#include <cstdint>
#include <random>

namespace sagbench::drivers {

/// One independent stream of a seed: pack, load, meter and operator each draw from their own, so
/// that what is asked of one does not change the others.
class Random {
 public:
  Random(std::uint64_t seed, std::uint64_t stream);

  /// Evenly in [low, high).
  double uniform(double low, double high);
  /// Normal with mean 0 and standard deviation 1 (polar method of G. Marsaglia).
  double normal();

 private:
  std::mt19937_64 engine_;
  double spare_ = 0.0;
  bool has_spare_ = false;
};

}  // namespace sagbench::drivers
