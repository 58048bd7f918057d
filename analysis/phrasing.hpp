#pragma once
// Numbers as people read them, for the sentences that go with figures.

#include <string>
#include <string_view>

#include "analysis/finding.hpp"

namespace sagbench::analysis {

/// "12.10" for (12.1, 2); the decimal sign is a point whatever the locale. Never "-0.0".
std::string rounded(double value, int decimals);
/// "80 %" for 0.8.
std::string percent(double share);
/// "20.0 A".
std::string amps(double current_a);
/// "10.23 V".
std::string volts(double voltage_v);
/// "6.06 Ah".
std::string amp_hours(double charge_ah);
/// "20.0 mohm" for 0.02, "120 mohm" for 0.12.
std::string milliohms(double ohm);
/// "10.23 +/- 0.11 V"; a third decimal where the uncertainty is below 0.1.
std::string with_uncertainty(const Measured& measured, std::string_view unit);

/// Down, or up, to so many decimals: for limits that must not promise too much.
double rounded_down(double value, int decimals) noexcept;
double rounded_up(double value, int decimals) noexcept;

}  // namespace sagbench::analysis
