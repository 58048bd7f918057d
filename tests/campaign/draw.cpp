#include "draw.hpp"

#include <algorithm>
#include <cmath>

#include "drivers/random.hpp"

namespace sagbench::campaign {
namespace {

using analysis::Chemistry;
using drivers::Random;

constexpr std::uint64_t kSceneStream = 101;
constexpr std::uint64_t kFaultStream = 102;
// A whole plan sends about so many messages over a line, and takes so long but for the recharge.
constexpr double kMostMessages = 6000.0;
constexpr double kBusy_s = 600.0;

/// Rounded, so that what is printed is what was drawn.
double rounded(double value) {
  return std::round(1000.0 * value) / 1000.0;
}

/// Short ones as often as long ones.
double length_s(Random& random, double shortest_s, double longest_s) {
  return rounded(shortest_s * std::pow(longest_s / shortest_s, random.uniform(0.0, 1.0)));
}

bool once_in(Random& random, double times) {
  return random.uniform(0.0, times) < 1.0;
}

int whole(Random& random, int low, int high) {
  return std::min(high, low + static_cast<int>(random.uniform(0.0, 1.0) * (high - low + 1)));
}

int series_of(Chemistry chemistry, Random& random) {
  switch (chemistry) {
    case Chemistry::nimh:
      return whole(random, 4, 10);
    case Chemistry::agm:
      return once_in(random, 2.0) ? 6 : 3;
    default:
      return whole(random, 1, 4);
  }
}

Scene draw_scene(std::uint64_t seed) {
  constexpr Chemistry kChemistries[] = {Chemistry::lfp, Chemistry::nmc, Chemistry::agm,
                                        Chemistry::nimh};
  constexpr const char* kDialects[] = {"scpi-1999-guarded",
                                       "scpi-1999-guarded-compound",
                                       "scpi-1999-guarded-list",
                                       "scpi-1999",
                                       "scpi-1999-compound",
                                       "scpi-1999-output-guarded-opc",
                                       "scpi-1999-compound-guarded-list"};
  Random random(seed, kSceneStream);
  Scene scene;
  scene.seed = seed;
  scene.chemistry = kChemistries[whole(random, 0, 3)];
  scene.series = series_of(scene.chemistry, random);
  scene.meter = !once_in(random, 4.0);
  scene.taps = scene.meter && once_in(random, 2.0) ? scene.series : 0;
  scene.thermometer = scene.meter && !once_in(random, 4.0);
  scene.scan = scene.taps > 0 && once_in(random, 2.0);
  scene.board = once_in(random, 3.0);
  scene.dialect = kDialects[whole(random, 0, 6)];
  return scene;
}

/// Half of them while something is going on, half in the middle of anything.
void place(Fault& fault, Random& random) {
  if (once_in(random, 2.0))
    fault.message = 1 + static_cast<int>(std::pow(random.uniform(0.0, 1.0), 1.5) * kMostMessages);
  else
    fault.at_s = rounded(random.uniform(0.0, kBusy_s));
}

int reading_of(const Scene& scene, Random& random) {
  constexpr int kCell = static_cast<int>(Which::cell);
  if (!scene.meter) return whole(random, 0, 1);
  const int most = scene.taps > 0 ? kCell + scene.taps - 1 : scene.thermometer ? 3 : 2;
  return whole(random, 0, most);
}

void draw_line_fault(Fault& fault, Random& random) {
  fault.for_s = once_in(random, 4.0) ? 0.0 : length_s(random, 0.1, 40.0);
  switch (fault.kind) {
    case FaultKind::silence:
      fault.value = whole(random, 0, 2);
      break;
    case FaultKind::delay:
      fault.value = length_s(random, 0.02, 4.0);
      break;
    case FaultKind::corrupt:
      fault.value = whole(random, 0, 2);
      break;
    default:
      break;
  }
  const bool for_good = fault.kind == FaultKind::silence || fault.kind == FaultKind::gone;
  if (for_good && once_in(random, 5.0)) fault.for_s = kForGood_s;
}

void draw_instrument_fault(Fault& fault, const Scene& scene, Random& random) {
  fault.for_s = once_in(random, 4.0) ? kForGood_s : length_s(random, 0.5, 60.0);
  switch (fault.kind) {
    case FaultKind::stuck:
      fault.value = whole(random, 0, 1);
      break;
    case FaultKind::frozen:
      fault.which = reading_of(scene, random);
      break;
    case FaultKind::noisy:
      fault.which = reading_of(scene, random);
      fault.value = length_s(random, 0.001, 1.0);
      break;
    case FaultKind::cell_wire_off:
    case FaultKind::weak_cell:
      fault.which = whole(random, 0, scene.series - 1);
      fault.value = fault.kind == FaultKind::weak_cell ? rounded(random.uniform(0.5, 0.95)) : 0.0;
      break;
    case FaultKind::thermistor_open:
      fault.value = once_in(random, 2.0) ? 9.9e37 : -60.0;
      break;
    case FaultKind::thermistor_short:
      fault.value = 180.0;
      break;
    case FaultKind::contact:
      fault.which = whole(random, 0, 1);
      fault.value = length_s(random, 0.005, 1.0);
      fault.for_s = length_s(random, 1.0, 200.0);
      break;
    default:
      break;
  }
}

void draw_computer_fault(Fault& fault, Random& random) {
  switch (fault.kind) {
    case FaultKind::clock_step:
      fault.value = rounded(random.uniform(-7200.0, 7200.0));
      break;
    case FaultKind::suspend:
      fault.value = length_s(random, 0.5, 7200.0);
      break;
    case FaultKind::disk_full:
    case FaultKind::archive_busy:
      fault.for_s = once_in(random, 3.0) ? kForGood_s : length_s(random, 0.5, 30.0);
      break;
    default:
      break;
  }
}

bool possible(FaultKind kind, const Scene& scene) {
  switch (kind) {
    case FaultKind::cell_wire_off:
      return scene.taps > 0;
    case FaultKind::thermistor_open:
    case FaultKind::thermistor_short:
      return scene.thermometer;
    case FaultKind::board_trip:
      return scene.board;
    case FaultKind::weak_cell:
      return scene.series > 1;
    default:
      return true;
  }
}

Fault draw_fault(const Scene& scene, Random& random) {
  Fault fault;
  do fault.kind = static_cast<FaultKind>(whole(random, 0, kFaultKinds - 1));
  while (!possible(fault.kind, scene));
  fault.line = scene.meter && once_in(random, 2.0) ? Line::meter : Line::load;
  place(fault, random);
  if (fault.kind <= FaultKind::gone)
    draw_line_fault(fault, random);
  else if (fault.kind < FaultKind::clock_step)
    draw_instrument_fault(fault, scene, random);
  else
    draw_computer_fault(fault, random);
  return fault;
}

}  // namespace

Drawn draw(std::uint64_t seed) {
  Drawn drawn{draw_scene(seed), {}};
  Random random(seed, kFaultStream);
  const int count = whole(random, 0, 4);
  for (int i = 0; i < count; ++i) drawn.faults.push_back(draw_fault(drawn.scene, random));
  return drawn;
}

}  // namespace sagbench::campaign
