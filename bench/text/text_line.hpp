#pragma once
// Lines for a terminal, at most 80 columns: a label and what there is to say of it.

#include <string>

#include "analysis/finding.hpp"

namespace sagbench::bench {

/// `sentence` broken at blanks, each line after the first behind `indent` ones.
std::string wrapped(const std::string& sentence, std::size_t columns, std::size_t indent);
/// The label, and the text beside it in as many lines as it takes.
std::string line(const std::string& label, const std::string& text);
/// "9.870 +/- 0.021 Ah (k = 2)".
std::string with_uncertainty(const analysis::Measured& measured, int decimals, const char* unit);

}  // namespace sagbench::bench
