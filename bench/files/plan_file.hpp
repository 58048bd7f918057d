#pragma once
// plan.json: what to do, step by step.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "analysis/pack.hpp"
#include "analysis/radio.hpp"
#include "bench/radio/sending.hpp"

namespace sagbench::bench {

struct RestStep {
  double seconds = 0.0;
};

struct CapacityStep {
  std::optional<double> rate_it;  // one of the two
  std::optional<double> current_a;
  double current_for(const analysis::Pack& pack) const {
    return current_a ? *current_a : *rate_it * analysis::rated_current_it_a(pack);
  }
};

struct PeakCurrentStep {
  std::vector<double> currents_a;  // rising
  double hold_s = 10.0;
  std::vector<double> at_charge;  // falling, 0..1; empty: at the charge the pack happens to have
  /// Find the current at which the protection board opens, from the largest peak up to this one, at
  /// the first state of charge. Absent: do not.
  std::optional<double> board_trip_up_to_a{};
  /// Lead-acid: resistance and short-circuit current by two points (IEC 60896-21), before the peaks
  /// of the first state of charge.
  bool two_point = false;
};

/// The two currents of that method: 4 I10 and 20 I10, the rated capacity taken for that of ten
/// hours.
double two_point_low_a(const analysis::Pack& pack) noexcept;
double two_point_high_a(const analysis::Pack& pack) noexcept;

struct TransmitStep {
  analysis::Radio radio;
  Sending sending;
  std::optional<double> seconds;  // absent: until the voltage limit
  bool until_supply_min = true;   // else until the pack's end-of-discharge voltage
};

struct PlanStep {
  std::variant<RestStep, CapacityStep, PeakCurrentStep, TransmitStep> what;
  nlohmann::json source;  // as written, radio inside
};

struct Plan {
  std::string name;
  std::vector<PlanStep> steps;
  nlohmann::json source;  // the whole plan with its radios inside: what the archive keeps
  std::string origin;     // file, for messages
};

/// `folder` is where relative radio paths start. Throws InputError naming `origin`.
Plan plan_from_json(const nlohmann::json& json, const std::string& origin,
                    const std::string& folder);

/// One step whose radio is already inside, as the archive keeps it.
PlanStep step_from_json(const nlohmann::json& json, const std::string& origin);

/// A current that a step may ask for, and the key it comes from.
struct NamedCurrent {
  const char* key;
  double current_a;
};
/// All of them. A stage of constant power draws its highest current from the lowest supply.
std::vector<NamedCurrent> currents_of(const PlanStep& step, const analysis::Pack& pack);

/// The highest current a step asks for, in A.
double highest_current_a(const PlanStep& step, const analysis::Pack& pack);

}  // namespace sagbench::bench
