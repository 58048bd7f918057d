#include "analysis/figures.hpp"

#include <array>
#include <cstddef>
#include <utility>

#include "analysis/board_trip.hpp"
#include "analysis/capability.hpp"
#include "analysis/capacity.hpp"
#include "analysis/cautions.hpp"
#include "analysis/cell_resistance.hpp"
#include "analysis/cell_spread.hpp"
#include "analysis/charge_circuit_fit.hpp"
#include "analysis/charge_state.hpp"
#include "analysis/circuit_choice.hpp"
#include "analysis/contact_resistance.hpp"
#include "analysis/held_peak.hpp"
#include "analysis/on_air.hpp"
#include "analysis/peak_current.hpp"
#include "analysis/pulse_train.hpp"
#include "analysis/rating.hpp"
#include "analysis/sag_line.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/step_resistance.hpp"
#include "analysis/two_current_resistance.hpp"
#include "analysis/two_point_resistance.hpp"

namespace sagbench::analysis {
namespace {

/// Nothing can be had, for one reason.
void refuse(Figures& figures, const std::string& why) {
  figures.capacity = Finding<Capacity>::missing(why);
  figures.dc_resistance = Finding<Resistance>::missing(why);
  figures.circuit = Finding<Circuit>::missing(why);
  figures.untapped_cells = Finding<UntappedCells>::missing(why);
  figures.resistances.steps = Finding<std::vector<StepResistance>>::missing(why);
  figures.resistances.contact = Finding<ContactResistance>::missing(why);
  figures.resistances.cells = Finding<std::vector<CellResistance>>::missing(why);
  figures.resistances.two_point = Finding<TwoPointResistance>::missing(why);
  figures.ratings = ratings_without(why);
}

void measure_capacity(const Recording& recording, Figures& figures) {
  const auto discharge = reference_discharge(recording);
  if (!discharge) {
    figures.capacity = Finding<Capacity>::missing(discharge.why());
    figures.untapped_cells = Finding<UntappedCells>::missing(discharge.why());
    return;
  }
  const Capacity capacity = capacity_of(recording, *discharge);
  if (!(capacity.charge_ah.value > 0.0)) {
    figures.capacity = Finding<Capacity>::missing("no charge was removed");
    figures.untapped_cells = Finding<UntappedCells>::missing("no charge was removed");
    return;
  }
  figures.capacity = capacity;
  figures.untapped_cells = untapped_cells(recording, *discharge);
  if (const auto cells = cell_spread(*discharge)) {
    figures.cell_spread_v = cells->late_v;
    figures.weakest_cell = cells->weakest;
    figures.cell_spread_early_v = cells->early_v;
  }
}

Resistances resistances(const Recording& recording, const ChargeState& charge) {
  Resistances found;
  found.steps = step_resistances(recording, charge);
  if (found.steps) found.repeatability = step_repeatability(*found.steps);
  found.contact = contact_resistance(recording);
  found.cells = cell_resistances(recording, charge);
  found.two_point = two_point_resistance(recording, charge);
  return found;
}

void measure_sag(const Recording& recording, Figures& figures) {
  const ChargeState charge(recording, reference_ah(recording, figures.capacity));
  const auto held = held_peaks(recording, charge);
  const auto lines = sag_lines(held);
  for (const HeldPeak& peak : held) figures.peaks.push_back(peak.peak);
  figures.board_trip = board_trip(recording, charge);
  figures.peak_current = peak_currents(recording, lines);
  cap_at(figures.board_trip, figures.peak_current);
  figures.dc_resistance = two_current_resistance(recording, charge);
  figures.resistances = resistances(recording, charge);
  figures.circuit = circuit_near_half_charge(recording, charge);
  figures.on_air = on_air(recording, charge, figures.capacity);
  figures.ratings = ratings(recording, figures.capacity, charge, lines);
}

}  // namespace

std::string_view name_of(Verdict verdict) noexcept {
  constexpr std::array<std::string_view, 4> kNames = {"suits", "marginal", "does not suit",
                                                      "not measured"};
  return kNames[static_cast<std::size_t>(verdict)];
}

Figures analyse(const Recording& recording) {
  Figures figures;
  figures.run_id = recording.run_id;
  figures.complete = recording.complete;
  figures.gaps = recording.gaps;
  if (const auto defect = defect_of(recording)) {
    refuse(figures, *defect);
  } else if (!(recording.pack.rated_capacity_ah > 0.0)) {
    refuse(figures, "the pack states no rated capacity");
  } else {
    measure_capacity(recording, figures);
    measure_sag(recording, figures);
  }
  figures.cautions = cautions(recording, figures);
  return figures;
}

void add_charge_circuit(const Recording& recording, Figures& figures) {
  const double full_ah = reference_ah(recording, figures.capacity);
  if (defect_of(recording) || !(full_ah > 0.0)) {
    figures.charge_circuit = Finding<ChargeCircuit>::missing(figures.circuit.why());
    figures.open_circuit = Finding<OpenCircuitCurve>::missing(figures.circuit.why());
    figures.state_of_charge = Finding<StateOfCharge>::missing(figures.circuit.why());
    return;
  }
  const ChargeState charge(recording, full_ah);
  figures.charge_circuit = fit_charge_circuit(whole_record(recording, charge), full_ah);
  if (figures.charge_circuit)
    figures.capability = capability(recording, *figures.charge_circuit, full_ah);
  figures.open_circuit = open_circuit_curve(
      rest_points(recording, charge), slow_discharge(recording, charge, figures.charge_circuit),
      recording.accuracy, full_ah);
  figures.state_of_charge =
      state_of_charge(recording, charge, figures.capacity, figures.open_circuit);
  if (auto caution = disagreement(*figures.state_of_charge))
    figures.cautions.push_back(*std::move(caution));
}

}  // namespace sagbench::analysis
