#include "analysis/recording.hpp"

#include <algorithm>
#include <array>
#include <cstddef>

namespace sagbench::analysis {
namespace {

constexpr std::array<std::string_view, 6> kStepKinds = {"rest",     "capacity", "peak-current",
                                                        "transmit", "recharge", "imported"};
constexpr std::array<std::string_view, 7> kStepEnds = {
    "completed", "end_of_discharge", "cell_end_of_discharge", "supply_min", "protection_board",
    "skipped",   "interrupted"};

template <class Enum, std::size_t size>
std::optional<Enum> find(const std::array<std::string_view, size>& names, std::string_view name) {
  const auto found = std::find(names.begin(), names.end(), name);
  if (found == names.end()) return std::nullopt;
  return static_cast<Enum>(found - names.begin());
}

}  // namespace

std::string_view name_of(StepKind kind) noexcept {
  return kStepKinds[static_cast<std::size_t>(kind)];
}
bool ended_by_pack(StepEnd end) noexcept {
  return end == StepEnd::supply_min || end == StepEnd::end_of_discharge ||
         end == StepEnd::cell_end_of_discharge || end == StepEnd::protection_board;
}

std::string_view name_of(StepEnd end) noexcept {
  return kStepEnds[static_cast<std::size_t>(end)];
}

std::optional<StepKind> step_kind_from(std::string_view name) noexcept {
  return find<StepKind>(kStepKinds, name);
}
std::optional<StepEnd> step_end_from(std::string_view name) noexcept {
  return find<StepEnd>(kStepEnds, name);
}

}  // namespace sagbench::analysis
