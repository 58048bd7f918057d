#pragma once
// Resistances of a run, each by its own method.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "analysis/finding.hpp"
#include "analysis/recording.hpp"
#include "analysis/uncertainty_budget.hpp"

namespace sagbench::analysis {

/// Of several measurements under the same conditions (JCGM 100:2008, 4.2).
struct Repeatability {
  double mean = 0.0;
  double standard_deviation = 0.0;  // of one of them
  int count = 0;
};

struct Resistance {
  Measured ohm;
  std::string method;            // "IEC 61960-3"
  std::optional<double> charge;  // state of charge at which it was taken
  UncertaintyBudget budget{};    // in ohm
  /// Of all pulses at that state of charge; absent with one.
  std::optional<Repeatability> repeatability{};
};

/// When a step of current is looked at, in seconds after its edge.
inline constexpr std::array kStepTimes_s = {0.01, 1.0, 10.0, 30.0};

/// (voltage before the step - voltage so long after it) / (current then - current before).
struct StepPoint {
  double after_s = 0.0;       // asked for
  double read_after_s = 0.0;  // the same, or the age of the first reading where that came later
  Finding<Measured> ohm;
  UncertaintyBudget budget{};  // in ohm
};

/// A current that came on after a rest and then stood.
struct StepResistance {
  double charge = 0.0;     // state of charge before it
  double current_a = 0.0;  // how far it rose
  double held_s = 0.0;
  Phase phase = Phase::peak;
  std::vector<StepPoint> points;  // one for each of kStepTimes_s
};

/// The same time after the edges of several steps at one state of charge.
struct StepRepeatability {
  double charge = 0.0;
  double after_s = 0.0;
  Repeatability ohm;
};

/// What lies between the meter's and the load's sensing points: leads and contacts, or next to
/// nothing where the load senses at the pack.
struct ContactResistance {
  Measured ohm;
  UncertaintyBudget budget{};  // in ohm
  Measured offset_v;  // meter minus load without current: of the instruments, no resistance
  int readings = 0;
};

struct CellResistance {
  int cell = 1;  // counted from the negative end
  Measured ohm;
  UncertaintyBudget budget{};  // in ohm
  double after_s = 0.0;        // age of the readings after the edge, in the mean
  double charge = 0.0;
  std::optional<Repeatability> repeatability{};  // absent with one pulse
};

/// Two currents with a rest between them.
struct TwoPointResistance {
  Measured ohm;
  Measured open_circuit_v;   // where the line through both points meets no current
  Measured short_circuit_a;  // where it meets no voltage
  double low_a = 0.0, high_a = 0.0;
  double charge = 0.0;
  UncertaintyBudget ohm_budget{};                // in ohm
  UncertaintyBudget volt_budget{};               // in V
  UncertaintyBudget ampere_budget{};             // in A
  std::optional<Repeatability> repeatability{};  // of the resistance; absent with one pair
};

struct Resistances {
  Finding<std::vector<StepResistance>> steps;
  std::vector<StepRepeatability> repeatability;
  Finding<ContactResistance> contact;
  Finding<std::vector<CellResistance>> cells;
  Finding<TwoPointResistance> two_point;
};

}  // namespace sagbench::analysis
