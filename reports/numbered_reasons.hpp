#pragma once
// Why numbered rows lack something, each reason once however many have it.

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace sagbench::reports {

/// Ascending ones as "1 to 12, 14, 15": three or more in a row by their ends.
std::string numbers_text(std::span<const std::size_t> numbers);

/// Some reasons are sentences, others are not.
std::string without_stop(std::string why);

/// A sentence that begins with a usual word, to stand behind a colon.
std::string as_clause(std::string sentence);

struct NumberedReason {
  std::size_t number = 0;
  std::string why;
};

/// "No. 1 to 3, 7: not measured. No. 4: ...", in the order in which reasons are met. Empty for
/// none.
std::string reasons_text(std::span<const NumberedReason> reasons);

}  // namespace sagbench::reports
