#include "bench/text/text_line.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

namespace sagbench::bench {

std::string wrapped(const std::string& sentence, std::size_t columns, std::size_t indent) {
  std::string text, word;
  std::size_t used = 0;
  // The label keeps its padding: only what follows is broken at blanks.
  const std::size_t start = std::min(indent, sentence.size());
  text = sentence.substr(0, start);
  used = start;
  std::istringstream words(sentence.substr(start));
  for (bool first = true; words >> word; first = false) {
    if (!first && used + 1 + word.size() > columns) {
      text += '\n';
      text.append(indent, ' ');
      used = indent;
    } else if (!first) {
      text += ' ';
      ++used;
    }
    text += word;
    used += word.size();
  }
  return text;
}

std::string line(const std::string& label, const std::string& text) {
  constexpr std::size_t kColumns = 80;
  constexpr std::size_t kLabel = 18;
  return wrapped(fmt::format("{:<{}}{}", label, kLabel, text), kColumns, kLabel) + "\n";
}

std::string with_uncertainty(const analysis::Measured& measured, int decimals, const char* unit) {
  return fmt::format("{:.{}f} +/- {:.{}f} {} (k = {:g})", measured.value, decimals,
                     measured.expanded_uncertainty, decimals, unit, measured.coverage_factor);
}

}  // namespace sagbench::bench
