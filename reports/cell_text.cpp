#include "reports/cell_text.hpp"

#include <array>
#include <charconv>
#include <cmath>
#include <system_error>

namespace sagbench::reports {

void write_cells(const std::vector<double>& cell_v, std::string& text) {
  text.assign(1, '[');
  std::array<char, 32> digits{};
  for (const double volts : cell_v) {
    const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), volts).ptr;
    if (text.size() > 1) text += ',';
    text.append(digits.data(), end);
  }
  text += ']';
}

std::optional<std::vector<double>> read_cells(std::string_view text) {
  if (text.size() < 2 || text.front() != '[' || text.back() != ']') return std::nullopt;
  std::vector<double> cells;
  const char* at = text.data() + 1;
  const char* const end = text.data() + text.size() - 1;
  while (at != end) {
    double volts = 0.0;
    const auto [next, error] = std::from_chars(at, end, volts);
    if (error != std::errc() || !std::isfinite(volts)) return std::nullopt;
    cells.push_back(volts);
    if (next == end) break;
    if (*next != ',' || next + 1 == end) return std::nullopt;
    at = next + 1;
  }
  return cells;
}

}  // namespace sagbench::reports
