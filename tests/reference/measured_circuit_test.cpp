// A circuit fitted to published pulses against what the same authors measured by other means.
// Source and licence: data/liion_18650/README.md.

#include <cmath>
#include <string>
#include <vector>

#include "analysis/circuit_fit.hpp"
#include "analysis/pulse_train.hpp"
#include "catch.hpp"
#include "reports/measured_csv.hpp"

namespace sagbench {
namespace {

using analysis::Phase;
using analysis::Sample;

/// The pulses as a peak-current step would have recorded them. The tester's last record before an
/// edge stands at the edge.
analysis::Recording as_peaks(std::vector<Sample> samples) {
  constexpr double kOn_a = 0.05;
  analysis::Recording recording;
  recording.pack.chemistry = analysis::Chemistry::nca;
  recording.pack.rated_capacity_ah = 2.9;
  recording.steps.emplace_back().kind = analysis::StepKind::peak_current;
  double edge_s = 0.0;
  for (std::size_t i = 0; i < samples.size(); ++i) {
    Sample& sample = samples[i];
    const bool on = sample.current_a > kOn_a;
    const bool was_on = i > 0 && samples[i - 1].current_a > kOn_a;
    if (on != was_on) edge_s = std::nextafter(samples[i - 1].time_s, sample.time_s);
    sample.phase = on ? Phase::peak : Phase::recovery;
    sample.commanded_a = on ? sample.current_a : 0.0;
    sample.commanded_since_s = edge_s;
  }
  recording.samples = std::move(samples);
  return recording;
}

// 10 s pulses of 2.9, 5.8 and 11.6 A at half charge, 20 min of rest after each. From the file's
// rows by hand: the voltage just before a pulse, at its end, and 20 min later (before the next
// pulse), which holds the fall of the open-circuit voltage that a circuit does not count. In mohm:
//   2.9 A: (3.66090 - 3.55524) / 2.89982 = 36.44
//   5.8 A: (3.65640 - 3.44651) / 5.79963 = 36.19
//  11.6 A: (3.64868 - 3.23227) / 11.59927 = 35.90
// Their mean is 36.18; two branches that end with the 60 s kept here miss the slowest diffusion,
// hence 5 %. Where the authors' impedance at this charge has no imaginary part it is 21.53 mohm.
// Records 0.1 s apart lump what relaxes faster into R0 or leave it out, hence 20 %.
TEST_CASE("18650 cell: a fitted circuit agrees with pulse and impedance") {
  reports::CsvColumns columns;
  columns.voltage = "voltage_v";
  columns.current = "current_a";
  columns.discharge_negative = true;
  const auto recording = as_peaks(reports::read_measured_csv(
      SAGBENCH_TEST_DATA "/reference/data/liion_18650/pulses_50_percent.csv", columns));
  const auto circuit = analysis::fit_circuit(analysis::pulse_trains(recording));
  REQUIRE(circuit);
  double after_10_s = circuit->r0_ohm;
  for (const auto& branch : circuit->branches)
    after_10_s += branch.r_ohm * (1.0 - std::exp(-10.0 / branch.tau_s));
  CAPTURE(circuit->residual_rms_v, circuit->branches.size());
  CHECK(after_10_s == Approx(0.03618).epsilon(0.05));
  CHECK(circuit->r0_ohm == Approx(0.02153).epsilon(0.20));
  CHECK(circuit->residual_rms_v < 0.01 * 0.4);  // a hundredth of the sag at 11.6 A
}

}  // namespace
}  // namespace sagbench
