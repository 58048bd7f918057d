#pragma once
// Tapped cell voltages as the archive keeps them: a JSON array, exact to the last bit.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::reports {

/// "[3.301,3.298]": the shortest digits that read back as the same numbers. Every value must be
/// finite. Writes into `text`, so that a caller's buffer serves many samples.
void write_cells(const std::vector<double>& cell_v, std::string& text);
/// Absent when the text is not such an array.
std::optional<std::vector<double>> read_cells(std::string_view text);

}  // namespace sagbench::reports
