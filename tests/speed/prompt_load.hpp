#pragma once
// A load that answers at once and always the same: what is measured is the way to it.

#include <algorithm>
#include <string>
#include <string_view>

namespace sagbench::speed {

/// What it says to one line, with its line end: each query of a message gets a number of fourteen
/// bytes, as from a bench instrument; a setting gets nothing.
inline std::string prompt_answer(std::string_view line) {
  if (line == "*IDN?") return "SAGBENCH,PROMPT-LOAD,1,1\n";
  if (line.find("ERR?") != std::string_view::npos) return "0,\"No error\"\n";
  std::string answer;
  for (auto left = std::count(line.begin(), line.end(), '?'); left > 0; --left) {
    answer += answer.empty() ? "+1.3203450E+01" : ";+1.3203450E+01";
  }
  return answer.empty() ? answer : answer + '\n';
}

}  // namespace sagbench::speed
