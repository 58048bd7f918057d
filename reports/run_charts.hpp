#pragma once
// All charts that a run can give, each absent where it was not measured.

#include <optional>
#include <vector>

#include "reports/named_chart.hpp"
#include "reports/over_series.hpp"
#include "reports/report_series.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Voltage, current and temperature against time.
std::optional<NamedChart> run_chart(const ReportInput& input);
/// Of the discharge that the capacity was taken from, or of the longest there is.
std::optional<NamedChart> discharge_chart(const ReportInput& input);
std::optional<NamedChart> energy_chart(const ReportInput& input);
std::optional<NamedChart> open_circuit_chart(const ReportInput& input);
/// Held peaks: how far the voltage fell, and how it sank and came back.
std::optional<NamedChart> sag_chart(const ReportInput& input);
std::optional<NamedChart> decay_chart(const ReportInput& input);
/// The circuit over charge, and what it leaves of the record.
std::optional<NamedChart> circuit_chart(const ReportInput& input);
std::optional<NamedChart> residuals_chart(const ReportInput& input);
/// The largest current by charge and by how long it is held.
std::optional<NamedChart> capability_chart(const ReportInput& input);
std::optional<NamedChart> cells_chart(const ReportInput& input);
/// The radio in the loop: a minute of it, an over, and a moment of that.
NamedChart air_minute_chart(const AirMinute& minute, const analysis::Figures& figures);
NamedChart over_chart(const OverPictures& pictures);
NamedChart moment_chart(const OverPictures& pictures);

/// Of the pack.
LimitLine end_of_discharge_line(const analysis::Pack& pack);

/// All there are, in the order of the report.
std::vector<NamedChart> charts_of(const ReportInput& input);

}  // namespace sagbench::reports
