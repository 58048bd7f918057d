#pragma once
// What only the simulated world knows of a specimen: its figures without any instrument.

#include <vector>

#include "specimen.hpp"

namespace sagbench::intervals {

struct TrueFigures {
  double charge_ah = 0.0;
  double energy_wh = 0.0;
  double ohm = 0.0;              // by the two currents of the resistance method, at half charge
  std::vector<double> margin_v;  // one a radio, as Specimen::radios
};

/// The pack itself, fresh and full, is put through each hold by itself with the very currents asked
/// for, and looked at without instruments. `discharge_a`: what flowed in the capacity step, which
/// no load sets exactly. States of charge are those of the true capacity. Nothing of analysis/
/// takes part beside plain descriptions.
TrueFigures true_figures(const Specimen& specimen, double discharge_a);

}  // namespace sagbench::intervals
