#pragma once
// Scripts that run from right to left, and letters that join.

#include <string>

namespace sagbench::reports {

/// The characters of one line from left to right, as a typeface without knowledge of scripts is to
/// set them: what runs from right to left turned (Unicode Standard Annex #9), Arabic letters in the
/// form that their neighbours ask for. A line with letters of both directions reads from the left.
std::u32string as_drawn(const std::u32string& line);

}  // namespace sagbench::reports
