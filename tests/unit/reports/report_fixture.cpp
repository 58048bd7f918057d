#include "report_fixture.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::reports::fixture {
namespace {

using analysis::Finding;
using analysis::Measured;
using analysis::Phase;
using analysis::Recording;
using analysis::Sample;
using analysis::Step;
using analysis::StepEnd;
using analysis::StepKind;

constexpr double kPackOhm = 0.03;
constexpr double kUsableAh = 9.87;

double open_circuit_v(double charge) {
  const double knee = 1.6 * std::exp(-charge * 18.0);
  return 13.2 + 0.35 * (charge - 0.5) - knee + 0.3 * std::exp((charge - 1.0) * 60.0);
}

analysis::Pack pack() {
  analysis::Pack pack;
  pack.name = "Field day pack A";
  pack.serial = "0007";
  pack.builder = "QX1ABC";
  pack.built = "2025-05-01";
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  pack.mass_kg = 1.35;
  pack.max_discharge_current_a = 30.0;
  pack.fuse_a = 30.0;
  pack.protection_board = true;
  pack.end_of_discharge_v = 10.0;
  return pack;
}

analysis::Radio radio() {
  analysis::Radio radio;
  radio.name = "Hundred-watt HF radio";
  radio.radio_class = analysis::RadioClass::qro;
  radio.supply_min_v = 11.7;
  radio.supply_max_v = 15.9;
  radio.supply_nominal_v = 13.8;
  radio.receive_a = 0.9;
  radio.transmit_peak_a = 20.0;
  radio.transmit_idle_a = 2.0;
  radio.cable_ohm = 0.01;
  return radio;
}

// Draws the pack by hand: adds samples and steps one after the other.
class Bench {
 public:
  explicit Bench(Recording& recording) : recording_(recording) {}

  void begin(StepKind kind) {
    Step step;
    step.kind = kind;
    step.start_s = now_;
    recording_.steps.push_back(step);
  }
  Step& step() { return recording_.steps.back(); }
  void end(StepEnd how) {
    step().end_s = now_;
    step().end = how;
  }
  void draw(double current_a, double seconds, double interval_s, Phase phase) {
    for (double t = 0.0; t < seconds - 1e-9; t += interval_s) {
      Sample sample;
      sample.time_s = now_;
      sample.current_a = current_a;
      sample.commanded_a = current_a;
      sample.voltage_v = open_circuit_v(1.0 - removed_ah_ / kUsableAh) - current_a * kPackOhm;
      sample.temperature_c = 23.0;
      sample.step = static_cast<int>(recording_.steps.size()) - 1;
      sample.phase = phase;
      recording_.samples.push_back(sample);
      now_ += interval_s;
      removed_ah_ += current_a * interval_s / 3600.0;
    }
  }
  void pause(double seconds) { now_ += seconds; }
  void recharge() { removed_ah_ = 0.0; }

 private:
  Recording& recording_;
  double now_ = 0.0;
  double removed_ah_ = 0.0;
};

void draw_capacity(Bench& bench) {
  bench.begin(StepKind::rest);
  bench.draw(0.0, 600.0, 10.0, Phase::rest);
  bench.end(StepEnd::completed);
  bench.begin(StepKind::capacity);
  bench.step().current_a = 2.0;
  bench.draw(2.0, kUsableAh / 2.0 * 3600.0, 2.0, Phase::discharge);
  bench.end(StepEnd::end_of_discharge);
}

void draw_peaks(Bench& bench) {
  bench.begin(StepKind::peak_current);
  bench.step().currents_a = {5.0, 10.0, 20.0};
  bench.step().at_charge = {0.9, 0.5, 0.2};
  for (const double travel_ah : {1.0, 3.9, 2.9}) {
    bench.draw(2.0, travel_ah / 2.0 * 3600.0, 5.0, Phase::discharge);
    for (const double current_a : {5.0, 10.0, 20.0}) {
      bench.draw(0.0, 30.0, 1.0, Phase::recovery);
      bench.draw(current_a, 10.0, 0.5, Phase::peak);
    }
  }
  bench.end(StepEnd::completed);
}

void draw_transmit(Bench& bench) {
  bench.begin(StepKind::transmit);
  bench.step().radio = radio();
  bench.step().mode = analysis::Mode::ssb;
  bench.step().transmit_share = 0.33;
  for (int over = 0; over < 60; ++over) {
    for (int syllable = 0; syllable < 20; ++syllable) {
      const double peak_a = 12.0 + 8.0 * std::abs(std::sin(syllable * 1.7 + over));
      bench.draw(peak_a, 0.3, 0.1, Phase::transmit);
      bench.draw(2.0, 0.2, 0.1, Phase::transmit);
    }
    bench.draw(0.9, 20.0, 1.0, Phase::receive);
  }
  bench.end(StepEnd::completed);
}

analysis::Capacity capacity(double ah, double uncertainty_ah) {
  analysis::Capacity capacity;
  capacity.charge_ah = {ah, uncertainty_ah, 2.0};
  capacity.energy_wh = {ah * 12.9, uncertainty_ah * 13.0, 2.0};
  capacity.to_voltage_v = 10.0;
  capacity.mean_current_a = 2.0;
  capacity.rate_it = 0.2;
  capacity.temperature_c = 23.0;
  capacity.ended_by = StepEnd::end_of_discharge;
  capacity.step = 1;
  return capacity;
}

std::vector<analysis::Peak> peaks() {
  std::vector<analysis::Peak> peaks;
  for (const double charge : {0.9, 0.5, 0.2}) {
    for (const double current_a : {5.0, 10.0, 20.0}) {
      analysis::Peak peak;
      peak.charge = charge;
      peak.current_a = current_a;
      peak.held_s = 10.0;
      peak.rest_v = open_circuit_v(charge);
      peak.lowest_v = peak.rest_v - current_a * (kPackOhm + 0.01 * (1.0 - charge));
      for (const double after_s : {0.01, 0.1, 1.0, 10.0})
        peak.sag.push_back(
            {after_s, after_s, (peak.rest_v - peak.lowest_v) * (0.7 + 0.3 * after_s / 10.0)});
      peak.recovery = {{1.0, 1.0, 0.05}, {10.0, 10.0, 0.02}, {30.0, 30.0, 0.01}};
      peaks.push_back(peak);
    }
  }
  peaks.back().full_hold = false;
  peaks.back().ended = "end-of-discharge voltage";
  return peaks;
}

std::vector<analysis::Rating> ratings() {
  analysis::Rating qrp;
  qrp.because = "No transmit or peak-current step used a QRP radio.";
  analysis::Rating qro;
  qro.radio_class = analysis::RadioClass::qro;
  qro.verdict = analysis::Verdict::suits;
  qro.radio = radio().name;
  qro.margin_v = Measured{0.42, 0.05, 2.0};
  qro.margin_charge = 0.2;
  qro.usable_capacity_ah = 9.4;
  qro.temperature_c = 23.0;
  qro.cable_ohm = 0.01;
  qro.because =
      "Under peaks of 20 A at 20 % charge the radio still had 12.12 V, 0.42 V above the 11.7 V it "
      "needs.";
  qro.conformance = analysis::Conformance{0.9991, 0.9993};
  qro.facts = {
      "The pack's discharge limit is 30.0 A, stated in its file; the radio's peaks are 20.0 "
      "A.",
      "The lowest supply at the radio is 12.120 +/- 0.050 V under 20.0 A at 20 % charge "
      "(under held peaks, step 3, between two tested charges); the radio needs 11.70 V "
      "behind 10.0 mohm of cable.",
      "The sag was tested down to 5 % charge.",
      "Full charge is 9.870 +/- 0.021 Ah, measured in step 2.",
      "The full pack rests at 13.420 +/- 0.002 V (first readings of the run); the radio "
      "bears 15.90 V."};
  qro.would_change = {
      "0.37 V less under the peaks, as by a cable above 28.4 mohm instead of 10.0 "
      "mohm",
      "a radio that needs more than 12.07 V", "peaks above 30.0 A (pack limit)",
      "a full pack above 15.90 V"};
  qrp.would_change = {"a transmit step with a QRP radio in the plan"};
  return {qrp, qro};
}

OperationHours operation(const std::string& name) {
  OperationHours asked;
  asked.operation.name = name;
  asked.operation.radio = radio();
  asked.operation.transmit_share = 0.33;
  asked.operation.hours = 3.0;
  asked.endurance.hours = Measured{3.42, 0.21, 2.0};
  asked.endurance.enough = true;
  asked.endurance.limited_by = "sag";
  return asked;
}

ReportInput header_only() {
  ReportInput input;
  input.record.id = "20260301-101500-a1b2";
  input.record.header.utc = "2026-03-01T10:15:00Z";
  input.record.header.software = "sagbench 0.1.0";
  input.record.header.instruments = {{"load", "VIRTUAL,LOAD,0,1", "virtual", "2026-02-01"},
                                     {"meter", "VIRTUAL,METER,0,1", "virtual", ""}};
  input.record.header.notes = {"The load has no watchdog of its own."};
  input.record.closing = {RunEnd::done, "", true};
  input.recording.run_id = input.record.id;
  input.recording.pack = pack();
  input.record.header.pack_name = input.recording.pack.name;
  input.recording.accuracy.load_voltage = {0.0005, 0.0002, 60.0};
  input.recording.accuracy.load_current = {0.001, 0.0005, 30.0};
  input.recording.accuracy.temperature_c = 0.5;
  return input;
}

}  // namespace

ReportInput whole_run() {
  ReportInput input = header_only();
  Bench bench(input.recording);
  draw_capacity(bench);
  bench.begin(StepKind::recharge);
  bench.pause(4.0 * 3600.0);
  bench.end(StepEnd::completed);
  bench.recharge();
  draw_peaks(bench);
  bench.recharge();
  draw_transmit(bench);
  input.recording.complete = true;
  auto& figures = input.figures;
  figures.complete = true;
  figures.capacity = capacity(kUsableAh, 0.021);
  figures.dc_resistance = analysis::Resistance{{0.0302, 0.0006, 2.0}, "IEC 61960-3", 0.95};
  figures.circuit = analysis::Circuit{0.021, {{0.004, 8.0}, {0.005, 120.0}}, 0.0011};
  figures.peaks = peaks();
  figures.peak_current = {{0.5, 30.0, "pack limit"}, {0.2, 24.1, "supply_min"}};
  figures.ratings = ratings();
  figures.cautions = {"The run's temperature was measured at one point only."};
  input.operations = {operation("Summit morning")};
  return input;
}

namespace {

// The third cell falls back as the discharge goes on, by 60 mV in the end.
void tap_cells(ReportInput& input) {
  auto& recording = input.recording;
  const auto& step = recording.steps[static_cast<std::size_t>(input.figures.capacity->step)];
  for (Sample& sample : recording.samples) {
    const double done = (sample.time_s - step.start_s) / (step.end_s - step.start_s);
    const double lag_v = 0.06 * std::clamp(done, 0.0, 1.0);
    const double each_v = (sample.voltage_v + lag_v) / 4.0;
    sample.cell_v = {each_v, each_v, each_v - lag_v, each_v};
  }
  input.figures.cell_spread_v = 0.054;
  input.figures.weakest_cell = 3;
}

// Peak by peak, where the current came on.
void set_edges(ReportInput& input) {
  auto peak = input.figures.peaks.begin();
  const auto& samples = input.recording.samples;
  for (std::size_t i = 1; i < samples.size() && peak != input.figures.peaks.end(); ++i) {
    if (samples[i].phase != Phase::peak || samples[i - 1].phase == Phase::peak) continue;
    peak->edge_s = samples[i].time_s;
    peak->asked_a = samples[i].commanded_a;
    ++peak;
  }
}

analysis::FittedCurve between(double first, double last) {
  return {{0.0, kUsableAh}, {{first, 0.001 * first}, {last, 0.001 * last}}};
}

analysis::OpenCircuitCurve open_circuit() {
  analysis::OpenCircuitCurve curve;
  curve.full_ah = kUsableAh;
  for (int i = 0; i <= 20; ++i) {
    const double charge = 1.0 - i / 20.0;
    curve.points.push_back({(1.0 - charge) * kUsableAh, {open_circuit_v(charge), 0.03, 2.0}, 0.01});
  }
  analysis::RestPoint rest;
  rest.removed_ah = 1.0;
  rest.voltage_v = {13.33, 0.01, 2.0};
  curve.rests = {rest};
  return curve;
}

}  // namespace

ReportInput measured_in_full() {
  ReportInput input = whole_run();
  tap_cells(input);
  set_edges(input);
  auto& figures = input.figures;
  figures.open_circuit = open_circuit();
  analysis::ChargeCircuit circuit;
  circuit.source_v = between(13.6, 11.0);
  circuit.r0_ohm = between(0.015, 0.020);
  circuit.branches = {{{1.3, 0.1}, between(0.004, 0.006)}, {{40.0, 2.0}, between(0.003, 0.010)}};
  circuit.residual_rms_v = 0.02;
  figures.charge_circuit = circuit;
  figures.capability = {{0.9, 1.0, {30.0, 0.0, 2.0}, "fuse"},
                        {0.9, 60.0, {26.1, 0.8, 2.0}, "supply_min"},
                        {0.5, 1.0, {37.5, 0.0, 2.0}, "tested range"},
                        {0.1, 60.0, {18.2, 0.4, 2.0}, "supply_min"}};
  return input;
}

ReportInput run_with(const std::string& name, double capacity_ah, double expanded_uncertainty_ah) {
  ReportInput input = header_only();
  input.recording.pack.name = name;
  Bench bench(input.recording);
  draw_capacity(bench);
  input.figures.capacity = capacity(capacity_ah, expanded_uncertainty_ah);
  return input;
}

ReportInput aborted_run() {
  ReportInput input = header_only();
  Bench bench(input.recording);
  bench.begin(StepKind::capacity);
  bench.step().current_a = 2.0;
  bench.draw(2.0, 900.0, 1.0, Phase::discharge);
  bench.end(StepEnd::interrupted);
  bench.step().why =
      "Pack temperature 56 \xC2\xB0"
      "C above its limit of 55 \xC2\xB0"
      "C.";
  input.record.closing = {RunEnd::safety, bench.step().why, true};
  input.record.events = {{899.5, "stop", bench.step().why}};
  input.figures.capacity =
      Finding<analysis::Capacity>::missing("the discharge was stopped before its end voltage");
  input.figures.dc_resistance =
      Finding<analysis::Resistance>::missing("the run has no two-current pulse");
  input.figures.circuit = Finding<analysis::Circuit>::missing("the run has no pulse to fit");
  input.figures.cautions = {"A safety limit ended this run: look at the pack before the next."};
  return input;
}

ReportInput imported_run() {
  ReportInput input = header_only();
  input.record.header.instruments.clear();
  input.record.closing.load_confirmed_off = false;
  Bench bench(input.recording);
  bench.begin(StepKind::imported);
  bench.draw(0.0, 1800.0, 60.0, Phase::imported);
  bench.draw(2.0, kUsableAh / 2.0 * 3600.0, 60.0, Phase::imported);
  bench.end(StepEnd::completed);
  input.figures.capacity = capacity(9.87, 0.2);
  auto imported = *input.figures.capacity;
  imported.step = 0;
  input.figures.capacity = imported;
  return input;
}

ReportInput empty_run() {
  ReportInput input = header_only();
  input.record.header.utc = "";
  input.recording.pack.built = "";
  input.record.closing = {RunEnd::instrument, "The load did not answer.", false};
  return input;
}

ReportInput crowded_run() {
  ReportInput input = whole_run();
  const std::string endless(300, 'W');
  input.recording.pack.name = endless;
  input.recording.pack.builder = endless;
  input.record.header.software = endless;
  input.record.header.notes.assign(40, "A note about the bench that runs on and on, " + endless);
  input.record.events.assign(60, {12.0, "warning", "Something that was worth a line. " + endless});
  input.recording.steps.insert(input.recording.steps.end(), 30, input.recording.steps.back());
  input.figures.cautions.assign(30,
                                "A caution that takes more than a line of the page. " + endless);
  input.figures.ratings[0].because = endless + " " + endless;
  input.figures.ratings[0].facts.assign(8, endless);
  input.figures.ratings[0].would_change.assign(4, endless);
  input.figures.peaks.insert(input.figures.peaks.end(), 60, input.figures.peaks.front());
  input.figures.peak_current.insert(input.figures.peak_current.end(), 40,
                                    input.figures.peak_current.front());
  input.operations.assign(9, operation("An operation of the club with " + endless));
  return input;
}

}  // namespace sagbench::reports::fixture
