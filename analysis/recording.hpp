#pragma once
// What a run recorded, as plain values: the input of every analysis.
// Discharge current is positive. Time is seconds since the run's start on a monotonic clock.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/accuracy.hpp"
#include "analysis/gap.hpp"
#include "analysis/pack.hpp"
#include "analysis/radio.hpp"

namespace sagbench::analysis {

/// What the procedure was doing when a sample was taken. Stored in archives by number: do not
/// change.
enum class Phase : std::uint8_t {
  rest = 0,          // input off
  discharge = 1,     // steady discharge (capacity, or travelling to a state of charge)
  low_current = 2,   // first current of the two-current resistance method
  high_current = 3,  // second current of the two-current resistance method
  peak = 4,          // held peak of a peak-current step
  recovery = 5,      // after a peak
  receive = 6,       // radio pattern, receiving
  transmit = 7,      // radio pattern, transmitting: key-down, syllable or idle; see commanded_a
  imported = 8,      // measured elsewhere
  dropped_out = 9,   // radio pattern, input off: the radio's supply fell below what it needs
  trip_search = 10,  // held to find the current at which the protection board opens
};

struct Sample {
  double time_s = 0.0;  // middle of the voltage query's round trip
  double round_trip_s =
      0.0;  // from the first byte of the sample's first query to the last byte of its last answer
  double voltage_v = 0.0;  // pack voltage by the best instrument: meter if there is one, else load
  double current_a = 0.0;  // measured
  double commanded_a = 0.0;  // the load's setpoint; 0 while the input is off
  /// When that setpoint took effect (middle of the command's round trip); lies in (previous sample,
  /// this one] after a change. Absent in imported data.
  std::optional<double> commanded_since_s;
  std::optional<double> load_voltage_v;  // the load's own reading, where the meter gives voltage_v
  std::optional<double> temperature_c;
  std::vector<double>
      cell_v;  // one a tap, from the negative end up; empty when not read with this sample
  std::int32_t step = 0;  // index into Recording::steps
  Phase phase = Phase::rest;
  /// Radio pattern: how old the pack voltage was that decided the current, when it decided. Absent
  /// where no voltage decides.
  std::optional<double> voltage_age_s{};
  std::int32_t missed_ticks = 0;  // of the radio pattern, since the sample before
};

/// Radio pattern: what the radio asked for from `start_s` on, until the next one's start.
struct AskedCurrent {
  double start_s = 0.0;
  double current_a = 0.0;
};

enum class StepKind : std::uint8_t { rest, capacity, peak_current, transmit, recharge, imported };

/// How a step came to its end.
enum class StepEnd : std::uint8_t {
  completed,              // did all it was asked to (time up, all peaks held)
  end_of_discharge,       // pack voltage reached the end-of-discharge voltage
  cell_end_of_discharge,  // a tapped cell got there first
  supply_min,             // the radio's supply fell to its lower limit
  protection_board,       // current fell to nothing while the setpoint stood
  skipped,                // not run; Step::why says why
  interrupted,            // safety, failure or operator ended the run here; Step::why says why
};

/// The pack could not go on, by itself or for the radio.
bool ended_by_pack(StepEnd end) noexcept;

std::string_view name_of(StepKind kind) noexcept;  // "rest", "capacity", "peak-current",
                                                   // "transmit", "recharge", "imported"
std::string_view name_of(StepEnd end) noexcept;    // "completed", "end_of_discharge", ...
std::optional<StepKind> step_kind_from(std::string_view name) noexcept;
std::optional<StepEnd> step_end_from(std::string_view name) noexcept;

struct Step {
  StepKind kind = StepKind::rest;
  double start_s = 0.0;
  double end_s = 0.0;
  StepEnd end = StepEnd::interrupted;
  std::string why;                       // details for people
  std::optional<double> current_a;       // capacity: the current asked for
  std::optional<Radio> radio;            // transmit
  std::optional<Mode> mode;              // transmit
  std::optional<double> transmit_share;  // transmit
  std::vector<AskedCurrent> asked;       // transmit, in order of time; empty: not recorded
  std::vector<double> currents_a;        // peak-current: the peaks asked for
  std::vector<double> at_charge;         // peak-current: the states of charge asked for
  double charge_before_ah =
      0.0;  // charge removed since the pack was last full, when the step began
};

struct Recording {
  std::string run_id;
  Pack pack;
  BenchAccuracy accuracy;
  std::vector<Step> steps;
  std::vector<Sample> samples;        // in order of time
  std::vector<Gap> gaps;              // in order of time, each between two samples of one step
  bool complete = false;              // the whole plan ran
  double current_limit_a = 0.0;       // lowest of pack, fuse and load
  double load_current_limit_a = 0.0;  // the load's own rating; 0 for imported data
};

}  // namespace sagbench::analysis
