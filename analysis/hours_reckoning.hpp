#pragma once
// From charge to hours, and what the hours are worth against those that are wanted.

#include <optional>
#include <string>
#include <vector>

#include "analysis/operation_case.hpp"

namespace sagbench::analysis {

/// What one thing would allow if nothing else ended the operation.
struct HoursLimit {
  std::string by;           // "capacity" | "sag" | "end of discharge" | "cold" | "weight limit"
  Finding<Measured> hours;  // absent: it ends the operation before it begins, or is not known
};

/// Preconditions: the case's usable charge is there, its mean current above 0, its hours too.
class HoursReckoning {
 public:
  /// `asked` must outlive it.
  explicit HoursReckoning(const OperationCase& asked);

  /// Of the usable charge, at the operation's temperature where that is known. In doubt, in
  /// quadrature: the charge, the current by the load's accuracy, what the temperature makes of it.
  Measured hours() const;
  /// Colder than the run, and nothing tells what that takes of the usable charge: known is neither
  /// the capacity there, nor how much deeper the supply of a radio sags that left the air by it.
  bool cold_is_open() const;
  /// Without the cold the hours would be enough.
  bool ends_by_cold() const;
  /// The lower end of the interval covers the operation. Absent where a minimum or a maximum
  /// leaves it open; of a minimum that is too short, only the whole capacity can say no.
  std::optional<bool> enough() const;
  /// Where the cold is open: the share of the hours that it must leave for them to be enough;
  /// absent where all of them would not be.
  std::optional<double> cold_must_leave() const;
  /// Mean current that the charge bears for sure over the operation.
  double bearable_a() const;
  /// Capacity, what ended the radio's test, cold: each as far as it applies.
  std::vector<HoursLimit> limits() const;

 private:
  Measured hours_of(const Measured& charge_ah, const Measured& factor) const;
  bool covers(const Measured& hours) const;

  const OperationCase& asked_;
  double current_u_;  // expanded, relative
  Measured factor_;
};

}  // namespace sagbench::analysis
