#pragma once
// Power from outside, such as a panel in the sun, that a pack needs to last an operation.

#include <optional>
#include <string>

#include "analysis/operation_case.hpp"

namespace sagbench::analysis {

/// Beside the operation's own recharge.
struct FieldRecharge {
  std::optional<bool> needed;  // absent: not known
  Finding<double> mean_w;      // over all of the operation's hours; 0 when none is needed
  Finding<double> sun_w;       // the same energy while the sun shines
};

/// Why recharge is neither counted nor asked for: a lithium pack is never charged below 0 °C (cell
/// makers' handling guides). Absent where nothing forbids it, also where no temperature is stated.
std::optional<std::string> charging_forbidden(const Pack& pack, const Operation& operation);

/// What makes `enough` true for sure: `missing_a` is the mean current that the pack cannot bear.
FieldRecharge recharge_for(const OperationCase& asked, const std::optional<bool>& enough,
                           double missing_a);
/// Where the power cannot be told.
FieldRecharge recharge_unknown(const std::string& why, const std::optional<bool>& enough);

/// Where the sun shines for some of the hours, with more than the radio and other loads draw.
std::optional<std::string> surplus_caution(const OperationCase& asked,
                                           const FieldRecharge& recharge);

}  // namespace sagbench::analysis
