#include "reports/numbered_reasons.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace sagbench::reports {
namespace {

/// Index behind the last of the numbers that follow each other from `first` on.
std::size_t end_of_row(std::span<const std::size_t> numbers, std::size_t first) {
  std::size_t end = first + 1;
  while (end < numbers.size() && numbers[end] == numbers[end - 1] + 1) ++end;
  return end;
}

}  // namespace

std::string without_stop(std::string why) {
  if (why.ends_with('.')) why.pop_back();
  return why;
}

std::string as_clause(std::string sentence) {
  sentence = without_stop(std::move(sentence));
  if (!sentence.empty() && sentence[0] >= 'A' && sentence[0] <= 'Z') sentence[0] += 'a' - 'A';
  return sentence;
}

std::string numbers_text(std::span<const std::size_t> numbers) {
  constexpr std::size_t kByItsEnds = 3;
  std::string text;
  for (std::size_t i = 0; i < numbers.size();) {
    const std::size_t end = end_of_row(numbers, i);
    const bool by_ends = end - i >= kByItsEnds;
    text += text.empty() ? "" : ", ";
    text += by_ends ? fmt::format("{} to {}", numbers[i], numbers[end - 1])
                    : std::to_string(numbers[i]);
    i = by_ends ? end : i + 1;
  }
  return text;
}

std::string reasons_text(std::span<const NumberedReason> reasons) {
  std::vector<std::pair<std::string, std::vector<std::size_t>>> told;
  for (const NumberedReason& reason : reasons) {
    const std::string why = without_stop(reason.why);
    auto known = std::ranges::find(told, why, [](const auto& entry) { return entry.first; });
    if (known == told.end()) known = told.insert(told.end(), {why, {}});
    known->second.push_back(reason.number);
  }
  std::string text;
  for (const auto& [why, numbers] : told)
    text += fmt::format("{}No. {}: {}.", text.empty() ? "" : " ", numbers_text(numbers), why);
  return text;
}

}  // namespace sagbench::reports
