#pragma once
// A made-up run for the report tests: an LFP-like pack drawn by hand, deterministic, no other code
// of the project behind it.

#include "reports/test_report.hpp"

namespace sagbench::reports::fixture {

/// The whole plan: rest, capacity, recharge, peaks, transmit; figures for all of it.
ReportInput whole_run();
/// With cells, one of them weak, held peaks, an open-circuit curve, a circuit and what follows from
/// it as well: every picture that there is.
ReportInput measured_in_full();
/// The same pack with another name, capacity (Ah) and its expanded uncertainty.
ReportInput run_with(const std::string& name, double capacity_ah, double expanded_uncertainty_ah);
/// Stopped by a safety limit in its first discharge: figures missing.
ReportInput aborted_run();
/// One imported discharge.
ReportInput imported_run();
/// No samples at all.
ReportInput empty_run();
/// Long names, many steps, events, notes, cautions and operations.
ReportInput crowded_run();

}  // namespace sagbench::reports::fixture
