// The curves of the pictures, against what is known of the runs they are drawn from.
#include "reports/run_charts.hpp"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include "analysis/circuit_residuals.hpp"
#include "catch.hpp"
#include "report_fixture.hpp"
#include "reports/charge_series.hpp"
#include "reports/number_text.hpp"
#include "reports/peak_decay.hpp"
#include "reports/svg_charts.hpp"

namespace sagbench::reports {
namespace {

using analysis::Phase;
using analysis::Sample;

std::vector<std::string> names_of(const std::vector<NamedChart>& pictures) {
  std::vector<std::string> names;
  for (const NamedChart& picture : pictures) names.push_back(picture.name);
  return names;
}

TEST_CASE("only what was measured has a picture") {
  CHECK(charts_of(fixture::empty_run()).empty());
  CHECK(
      names_of(charts_of(fixture::aborted_run())) ==
      std::vector<std::string>{"voltage-current-temperature", "voltage-against-charge", "energy"});
  CHECK(names_of(charts_of(fixture::measured_in_full())) ==
        std::vector<std::string>{"minute-on-the-air", "voltage-current-temperature",
                                 "voltage-against-charge", "energy", "sag-under-peaks",
                                 "open-circuit-curve", "cell-spread", "peak-decay",
                                 "asked-against-delivered", "asked-against-delivered-close",
                                 "circuit", "circuit-residuals", "capability-map"});
}

TEST_CASE("where nothing was measured no picture is written, and no folder is made") {
  const auto folder =
      std::filesystem::temp_directory_path() / ("sagbench-pictures-" + std::to_string(::getpid()));
  std::string said;
  try {
    write_svg_charts(fixture::empty_run(), folder.string());
  } catch (const ReportError& error) {
    said = error.what();
  }
  CHECK(said == folder.string() + ": nothing to draw: the run holds no samples");
  CHECK_FALSE(std::filesystem::exists(folder));
}

TEST_CASE("energy is the area under the discharge curve, a gap at the voltage before it") {
  const std::vector<Point> discharge = {{0.0, 14.0}, {1.0, 12.0}, {1.5, NAN}, {2.0, 10.0}};
  const auto energy = energy_curve(discharge);
  REQUIRE(energy.size() == 4);
  CHECK(energy[0].y == 0.0);
  CHECK(energy[1].y == Approx(13.0));
  CHECK(std::isnan(energy[2].y));
  CHECK(energy[3].y == Approx(13.0 + 6.0 + 0.5 * 11.0));
}

TEST_CASE("cells are drawn against their mean, over the capacity's discharge alone") {
  const ReportInput input = fixture::measured_in_full();
  const CellCurves curves = cell_curves(input.recording, input.figures);
  REQUIRE(curves.voltage_v.size() == 4);
  const auto& third = curves.off_mean_v[2];
  for (std::size_t i = 0; i < third.size(); ++i) {
    double sum_v = 0.0;
    for (const auto& cell : curves.off_mean_v) sum_v += cell[i].y;
    CHECK(sum_v == Approx(0.0).margin(1e-12));
  }
  CHECK(third.back().y ==
        Approx(-0.06 * 0.75).epsilon(0.001));  // 60 mV below the three others, as it was made
  CHECK(third.back().x == Approx(input.figures.capacity->charge_ah.value).epsilon(0.01));
}

TEST_CASE("a held peak is drawn from its edge, with a step where the current stepped") {
  analysis::Recording recording;
  const auto add = [&](double time_s, Phase phase, double current_a, double voltage_v) {
    Sample sample;
    sample.time_s = time_s;
    sample.phase = phase;
    sample.commanded_a = sample.current_a = current_a;
    sample.commanded_since_s = phase == Phase::peak       ? 100.0
                               : phase == Phase::recovery ? 110.0
                                                          : 0.0;
    sample.voltage_v = voltage_v;
    recording.samples.push_back(sample);
  };
  add(90.0, Phase::discharge, 2.0, 12.9);
  add(99.0, Phase::rest, 0.0, 13.0);
  add(100.5, Phase::peak, 20.0, 12.5);
  add(109.5, Phase::peak, 20.0, 12.3);
  add(110.5, Phase::recovery, 0.0, 12.8);
  add(139.0, Phase::recovery, 0.0, 12.95);
  add(141.0, Phase::discharge, 2.0, 12.8);
  analysis::Peak peak;
  peak.edge_s = 100.0;
  peak.asked_a = 20.0;
  peak.rest_v = 13.0;
  peak.held_s = 10.0;
  const auto curve = peak_decay(recording, peak);
  const std::vector<Point> wanted = {{-1.0, 0.0},  {0.0, 0.0},   {0.5, -0.5},  {9.5, -0.7},
                                     {10.0, -0.7}, {10.5, -0.2}, {39.0, -0.05}};
  REQUIRE(curve.size() == wanted.size());
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    CHECK(curve[i].x == Approx(wanted[i].x));
    CHECK(curve[i].y == Approx(wanted[i].y).margin(1e-9));
  }
  peak.edge_s = 1000.0;
  CHECK(peak_decay(recording, peak).empty());
}

TEST_CASE("the circuit that made a record leaves nothing of it") {
  analysis::ChargeCircuit circuit;
  circuit.source_v = {{0.0, 1.0}, {{13.0, 0.0}, {12.0, 0.0}}};
  circuit.r0_ohm = {{0.0}, {{0.02, 0.0}}};
  circuit.branches = {{{5.0, 0.0}, {{0.0}, {{0.03, 0.0}}}}};
  analysis::PulseTrain train;
  for (int i = 0; i < 100; ++i) {  // a step of 10 A from rest; R (1 - exp(-t / tau)) by hand
    const double after_s = 0.1 * i, removed_ah = 10.0 * after_s / 3600.0;
    const double sag_v = 10.0 * (0.02 + 0.03 * (1.0 - std::exp(-after_s / 5.0)));
    train.push_back({.time_s = after_s,
                     .after_s = i == 0 ? 0.0 : 0.1,
                     .current_a = 10.0,
                     .voltage_v = 13.0 - removed_ah - sag_v + (i == 50 ? 0.004 : 0.0),
                     .removed_ah = removed_ah});
  }
  const auto residuals = circuit_residuals(circuit, train);
  REQUIRE(residuals.size() == 100);
  for (std::size_t i = 0; i < 100; ++i)
    CHECK(residuals[i].voltage_v == Approx(i == 50 ? 0.004 : 0.0).margin(1e-9));
}

TEST_CASE("the capability map tells which currents are enough for the radio") {
  const auto picture = capability_chart(fixture::measured_in_full());
  REQUIRE(picture);
  const auto& tiles = picture->chart.panels.front().tiles;
  REQUIRE(tiles.size() == 4);
  const auto tile = std::ranges::find(tiles, measured_text({18.2, 0.4, 2.0}, "A"), &Tile::text);
  REQUIRE(tile != tiles.end());
  CHECK(tile->second == "radio's lowest supply");
  CHECK(tile->fill.red < 0.5);  // of 20 A: dark
  CHECK(tile->field.x == Approx(0.0).margin(1e-9));
  CHECK(std::ranges::count(tiles, "not tested higher", &Tile::second) == 1);
  CHECK(words_of(picture->chart).find("less than that") != std::string::npos);
}

}  // namespace
}  // namespace sagbench::reports
