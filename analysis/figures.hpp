#pragma once
// The figures of one run, each with its uncertainty or the reason it could not be had.

#include <optional>
#include <string>
#include <vector>

#include "analysis/charge_circuit.hpp"
#include "analysis/charge_estimate.hpp"
#include "analysis/conformance.hpp"
#include "analysis/delivery.hpp"
#include "analysis/finding.hpp"
#include "analysis/open_circuit_curve.hpp"
#include "analysis/recording.hpp"
#include "analysis/resistances.hpp"
#include "analysis/uncertainty_budget.hpp"
#include "analysis/untapped_cells.hpp"

namespace sagbench::analysis {

/// Charge or energy of one discharge from its start to its end voltage.
struct Capacity {
  Measured charge_ah;
  Measured energy_wh;
  UncertaintyBudget charge_budget{};  // in Ah
  UncertaintyBudget energy_budget{};  // in Wh
  double to_voltage_v = 0.0;          // pack voltage at which the discharge ended
  double mean_current_a = 0.0;
  double rate_it = 0.0;
  std::optional<double> temperature_c;  // mean over the discharge
  StepEnd ended_by = StepEnd::completed;
  int step = 0;
};

struct Branch {
  double r_ohm = 0.0;
  double tau_s = 0.0;
};

/// Fitted at one state of charge: resistances change with it.
struct Circuit {
  double r0_ohm = 0.0;
  std::vector<Branch> branches;
  double residual_rms_v = 0.0;
  std::optional<double> charge{};
};

/// How far the voltage stood below the rest before the peak.
struct SagPoint {
  double after_s = 0.0;       // asked for, since the edge of current
  double read_after_s = 0.0;  // the same, or the age of the first reading where that came later
  double below_rest_v = 0.0;
};

/// One held peak: how far the voltage sagged.
struct Peak {
  double edge_s = 0.0;     // when its current was asked for, in the run
  double charge = 0.0;     // state of charge, 0..1
  double current_a = 0.0;  // measured, mean over the hold
  double asked_a = 0.0;
  double held_s = 0.0;
  double rest_v = 0.0;         // just before the peak
  double first_v = 0.0;        // first reading after the edge
  double first_after_s = 0.0;  // its age after the edge
  std::optional<double> after_1s_v;
  double lowest_v = 0.0;
  double recovered_v = 0.0;        // last reading of the recovery that followed; lowest_v if none
  std::vector<SagPoint> sag;       // at 10 ms, 0.1, 1 and 10 s, as far as it was held
  std::vector<SagPoint> recovery;  // at 1, 10 and 30 s after the release, as far as it was watched
  bool full_hold = true;  // false: let go early (end-of-discharge voltage, protection board)
  std::string ended;      // why it was let go early
};

/// What a search for the current at which the protection board opens came to.
struct BoardTrip {
  int step = 0;
  double charge = 0.0;    // state of charge when the search began
  double held_a = 0.0;    // largest current asked for that it held; 0: none
  bool opened = false;    // else it held all that was asked for
  double opened_a = 0.0;  // asked for when it opened; it did so so long after the edge:
  double not_before_s = 0.0;
  double not_after_s = 0.0;
};

/// Largest current the pack sustains at one state of charge.
struct PeakCurrent {
  double charge = 0.0;
  double current_a = 0.0;
  // "supply_min" | "pack limit" (also: the protection board opened above) | "fuse" | "load" |
  // "tested range" (half more than was asked for and held; the pack may sustain more) | "end of
  // discharge" (a larger peak was let go early, or the plan has no radio)
  std::string limited_by;
  RadioClass radio_class =
      RadioClass::qro;  // whose supply_min counted; says nothing where the plan has no radio
};

/// From rest, with the supply at the radio at its minimum when the hold ends (without a radio: the
/// pack at its end-of-discharge voltage).
struct SustainedPeak {
  double charge = 0.0;
  double held_s = 0.0;
  Measured current_a;
  std::string limited_by;  // as PeakCurrent::limited_by
  /// At the radio when its own peak was held so long; absent without a radio.
  std::optional<Measured> supply_v{};
};

enum class Verdict { suits, marginal, does_not_suit, not_measured };
std::string_view name_of(
    Verdict verdict) noexcept;  // "suits", "marginal", "does not suit", "not measured"

struct Rating {
  RadioClass radio_class = RadioClass::qrp;
  Verdict verdict = Verdict::not_measured;
  std::optional<std::string> radio;  // its name
  std::optional<Measured>
      margin_v;  // lowest supply voltage at the radio under peaks, minus supply_min
  std::optional<double> margin_charge;       // state of charge at which that margin stands
  std::optional<double> usable_capacity_ah;  // down to where the radio would leave the air
  bool usable_is_minimum =
      false;  // it was still on the air at the lowest charge tested: at least so much
  std::optional<double> temperature_c;
  std::optional<double> cable_ohm;
  std::string because;                // one sentence with the measured facts
  UncertaintyBudget margin_budget{};  // in V; empty without a margin
  /// What the verdict is worth; see false_accept_risk() and false_reject_risk().
  Finding<Conformance> conformance{};
  std::vector<std::string> facts{};         // it rests on: each a figure and where it was measured
  std::vector<std::string> would_change{};  // it: phrases, each computed
};

/// How old the voltages were that decided the radio's currents.
struct VoltageAge {
  double median_s = 0.0;
  double longest_s = 0.0;
};

/// Voltage at the radio while transmitting, for one transmit step.
struct OnAir {
  int step = 0;
  std::string radio;
  RadioClass radio_class = RadioClass::qrp;
  Mode mode = Mode::ssb;
  double hours = 0.0;            // how long the step lasted, from first to last draw
  double on_air_hours = 0.0;     // of them with the radio on: without its silence after drop-outs
  int drop_outs = 0;             // the last one included, after which it would not stay on
  double charge_ah = 0.0;        // removed during the step
  double lowest_supply_v = 0.0;  // at the radio, cable drop taken off
  double mean_current_a = 0.0;
  double rms_current_a = 0.0;
  double peak_current_a = 0.0;
  StepEnd ended_by = StepEnd::completed;
  /// Charge removed since the pack was full when the pack ended the step, and what was then left of
  /// its capacity at constant current; negative: the pattern got more out of the pack.
  Finding<double> usable_ah;
  Finding<double> left_ah;
  Finding<VoltageAge> voltage_age;
  long missed_ticks = 0;
  Finding<Delivery> delivered;  // the pattern as the radio asked for it, and as it was drawn
};

/// Of one transmit step, made before it from what the run had measured so far.
struct Prediction {
  Measured hours;            // until the radio leaves the air for good
  std::string limited_by;    // "supply_min" | "end of discharge" | "cell end of discharge"
  Measured lowest_supply_v;  // at the radio, in the step as planned
  double mean_current_a = 0.0;
};

/// A prediction and what became of it.
struct PredictionTest {
  int step = 0;
  std::string radio;
  RadioClass radio_class = RadioClass::qrp;
  Mode mode = Mode::ssb;
  Finding<Prediction> predicted;
  /// Absent: the step ended with the radio still on the air, or was not run.
  std::optional<double> hours;
  std::optional<double> lowest_supply_v;  // absent: the step was not run
};

struct Figures {
  std::string run_id;
  bool complete = false;
  Finding<Capacity> capacity;
  Finding<Resistance> dc_resistance;
  Resistances resistances;  // by other methods
  Finding<Circuit> circuit;
  Finding<ChargeCircuit> charge_circuit;  // not analyse()'s: see add_charge_circuit() ...
  std::vector<SustainedPeak> capability;  // ... nor these
  Finding<OpenCircuitCurve> open_circuit;
  Finding<StateOfCharge> state_of_charge;
  std::vector<Peak> peaks;
  std::vector<PeakCurrent> peak_current;
  std::optional<BoardTrip> board_trip;  // where the plan asked for it
  std::vector<OnAir> on_air;
  std::vector<Rating> ratings;              // one a class, QRP first
  std::vector<PredictionTest> predictions;  // one a transmit step; not analyse()'s: see
                                            // test_prediction()
  /// Of the capacity discharge, with 90 % of it done: widest minus lowest tapped cell, and which
  /// one was lowest, 1-based from the negative end. Both or neither.
  std::optional<double> cell_spread_v;
  std::optional<int> weakest_cell;
  /// How far that cell stood below the highest with only 10 % of the discharge done.
  std::optional<double> cell_spread_early_v;
  Finding<UntappedCells> untapped_cells;  // what that discharge tells of cells without taps
  std::vector<Gap> gaps;  // the recording's own: what each leaves in doubt is in the figures
  std::vector<std::string> cautions;
};

/// Pure: no I/O, no clock. Any recording is accepted; what it cannot support is missing with a why.
Figures analyse(const Recording& recording);

/// Puts the circuit over charge, and what follows from it, into the figures of this recording:
/// capability, open-circuit curve, state of charge, and a caution where that is told two ways. It
/// looks at every reading some twenty times; where many runs are read, nobody needs it.
void add_charge_circuit(const Recording& recording, Figures& figures);

}  // namespace sagbench::analysis
