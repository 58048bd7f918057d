#pragma once
// The words of reports and figures, for people who solder rather than compute.

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::bench {

struct Term {
  std::string_view name;
  std::vector<std::string_view> also;  // other words for it, as reports and figures have them
  std::string_view meaning;
};

/// In the order of the alphabet.
std::span<const Term> glossary();

/// The term of this name, whatever its letters' case; else all whose names `words` begins or lies
/// in; empty: there is none.
std::vector<const Term*> terms_like(std::string_view words);

/// For a terminal of 80 columns.
std::string term_text(const Term& term);

}  // namespace sagbench::bench
