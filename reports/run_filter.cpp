#include "reports/run_filter.hpp"

#include <algorithm>
#include <sstream>

namespace sagbench::reports {
namespace {

constexpr std::size_t kDate = 10;  // "2026-03-01"

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool holds(const std::string& text, const std::string& word) {
  const auto alike = [](char one, char other) { return lower(one) == lower(other); };
  return !std::ranges::search(text, word, alike).empty();
}

bool names(const RunSummary& run, const std::string& words) {
  std::istringstream stream(words);
  for (std::string word; stream >> word;)
    if (!holds(run.pack_name, word) && !holds(run.serial, word)) return false;
  return true;
}

}  // namespace

bool RunFilter::admits(const RunSummary& run) const {
  const std::string_view day = std::string_view(run.utc).substr(0, kDate);
  return names(run, pack) && (chemistry.empty() || run.chemistry == chemistry) &&
         (since.empty() || day >= since) && (until.empty() || day <= until);
}

}  // namespace sagbench::reports
