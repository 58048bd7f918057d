#include "analysis/chemistry.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

namespace sagbench::analysis {
namespace {

// Sources. LFP: 3.2 V nominal, 2.5 V usual end, 2.0 V absolute, 3.65 V charge, -20 to 60 degC
// discharge: cell data sheets as stored publicly. NiMH end 1.0 V: IEC 61951-2 (seen second-hand).
// Lead-acid ends 1.75 V (20 h rate, IEC 61056-1) and 1.60 V (1 h class, IEC 60896-21): from memory.
// NMC, NCA, LCO: common data-sheet values, from memory. The plausible open-circuit span is wider
// than any published rest table, on purpose: it catches a wrong cell count, not a poor cell.
constexpr std::array kLimits = {
    //              name       nom   floor  end    charge empty full   min    max   li     pb
    ChemistryLimits{"LFP", 3.20, 2.00, 2.50, 3.65, 2.80, 3.65, -20.0, 60.0, true, false},
    ChemistryLimits{"NMC", 3.65, 2.50, 3.00, 4.20, 2.80, 4.25, -20.0, 60.0, true, false},
    ChemistryLimits{"NCA", 3.60, 2.50, 2.80, 4.20, 2.70, 4.25, -20.0, 60.0, true, false},
    ChemistryLimits{"LCO", 3.70, 2.75, 3.00, 4.20, 2.90, 4.25, -20.0, 60.0, true, false},
    ChemistryLimits{"AGM", 2.00, 1.60, 1.75, 2.45, 1.75, 2.30, -20.0, 50.0, false, true},
    ChemistryLimits{"gel", 2.00, 1.60, 1.75, 2.40, 1.75, 2.30, -20.0, 50.0, false, true},
    ChemistryLimits{"flooded", 2.00, 1.60, 1.75, 2.50, 1.75, 2.30, -20.0, 50.0, false, true},
    ChemistryLimits{"NiMH", 1.20, 0.90, 1.00, 1.60, 1.00, 1.50, -20.0, 60.0, false, false},
};

constexpr auto kNames = [] {
  std::array<std::string_view, kLimits.size()> names{};
  for (std::size_t i = 0; i < kLimits.size(); ++i) names[i] = kLimits[i].name;
  return names;
}();

}  // namespace

const ChemistryLimits& limits_of(Chemistry chemistry) noexcept {
  return kLimits[static_cast<std::size_t>(chemistry)];
}

std::optional<Chemistry> chemistry_from(std::string_view name) noexcept {
  const auto found = std::find(kNames.begin(), kNames.end(), name);
  if (found == kNames.end()) return std::nullopt;
  return static_cast<Chemistry>(found - kNames.begin());
}

std::span<const std::string_view> chemistry_names() noexcept {
  return kNames;
}

}  // namespace sagbench::analysis
