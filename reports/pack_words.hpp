#pragma once
// What a list of runs tells of their packs.

#include <string>
#include <string_view>

namespace sagbench::reports {

/// Empty where the pack's file does not state it.
struct PackWords {
  std::string serial, chemistry, builder;
};

/// Of a pack file's text, without keeping the rest of it: lists read thousands. What is no JSON
/// states nothing.
PackWords pack_words(std::string_view pack_json);

}  // namespace sagbench::reports
