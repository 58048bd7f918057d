#include "reports/charge_circuit_json.hpp"

#include <fmt/format.h>

#include <cmath>
#include <string>
#include <vector>

#include "reports/json_values.hpp"
#include "reports/rounding.hpp"

namespace sagbench::reports {
namespace {

constexpr int kErrorDigits = 2;
constexpr int kCorrelationDigits = 3;

Json curve_json(const analysis::FittedCurve& curve, const std::string& unit) {
  Json list = Json::array();
  for (std::size_t i = 0; i < curve.values.size(); ++i)
    list.push_back(
        {{"removed_Ah", plain(curve.removed_ah[i])},
         {"value_" + unit, plain(curve.values[i].value)},
         {"standard_error_" + unit, rounded(curve.values[i].standard_error, kErrorDigits)}});
  return list;
}

Json branch_json(const analysis::ChargeBranch& branch) {
  return {{"tau_s", plain(branch.tau_s.value)},
          {"standard_error_s", rounded(branch.tau_s.standard_error, kErrorDigits)},
          {"resistance", curve_json(branch.ohm, "ohm")}};
}

/// What the rows and columns of the correlation are.
Json names(const analysis::ChargeCircuit& circuit) {
  Json list = Json::array();
  for (std::size_t branch = 0; branch <= circuit.branches.size(); ++branch)
    for (std::size_t i = 0; i < circuit.r0_ohm.values.size(); ++i)
      list.push_back(fmt::format("r{}[{}]", branch, i));
  for (std::size_t branch = 1; branch <= circuit.branches.size(); ++branch)
    list.push_back(fmt::format("tau{}", branch));
  return list;
}

/// Without the source's values: there are many, and they go with each other.
Json correlation_json(const analysis::ChargeCircuit& circuit) {
  const auto size = static_cast<std::size_t>(
      std::lround(std::sqrt(static_cast<double>(circuit.correlation.size()))));
  Json rows = Json::array();
  for (std::size_t i = circuit.source_v.values.size(); i < size; ++i) {
    Json row = Json::array();
    for (std::size_t k = circuit.source_v.values.size(); k < size; ++k)
      row.push_back(rounded(circuit.correlation[i * size + k], kCorrelationDigits));
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace

Json charge_circuit_json(const analysis::ChargeCircuit& circuit) {
  Json branches = Json::array();
  for (const analysis::ChargeBranch& branch : circuit.branches)
    branches.push_back(branch_json(branch));
  return {{"residual_rms_V", plain(circuit.residual_rms_v)},
          {"pulse_miss_V", plain(circuit.pulse_miss_v)},
          {"readings", circuit.readings},
          {"outliers", circuit.outliers},
          {"residual_autocorrelation", plain(circuit.lag_1)},
          {"residuals_are_noise", circuit.white},
          {"source", curve_json(circuit.source_v, "V")},
          {"r0", curve_json(circuit.r0_ohm, "ohm")},
          {"branches", std::move(branches)},
          {"correlation_of", names(circuit)},
          {"correlation", correlation_json(circuit)}};
}

}  // namespace sagbench::reports
