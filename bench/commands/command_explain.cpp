// `sagbench explain`: what a word of the report means.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "bench/commands/commands.hpp"
#include "bench/files/input_error.hpp"
#include "bench/text/glossary.hpp"

namespace sagbench::bench {
namespace {

std::string names_of(const std::vector<const Term*>& terms) {
  std::vector<std::string_view> names;
  names.reserve(terms.size());
  for (const Term* term : terms) names.push_back(term->name);
  return fmt::format("{}", fmt::join(names, ", "));
}

}  // namespace

int command_explain(const std::string& words) {
  if (words.empty()) {
    for (const Term& term : glossary()) fmt::print("{}\n", term.name);
    return 0;
  }
  const auto found = terms_like(words);
  if (found.empty())
    throw InputError(fmt::format(
        "\"{}\" is no word of the reports; sagbench explain lists those that are", words));
  if (found.size() > 1)
    fmt::print("{}", names_of(found) + ": sagbench explain one of them\n");
  else
    fmt::print("{}", term_text(*found.front()));
  return 0;
}

}  // namespace sagbench::bench
