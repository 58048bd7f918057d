// Same pack, same bench, same plan?

#include <fmt/format.h>

#include <algorithm>
#include <initializer_list>
#include <string_view>

#include "bench/files/json_reader.hpp"
#include "bench/run/continuation.hpp"

namespace sagbench::bench {
namespace {

using nlohmann::json;

/// Takes out what says nothing about the thing itself: names for people, and how it is reached.
json without(json document, std::initializer_list<const char*> pointers) {
  for (const char* text : pointers) {
    const json::json_pointer pointer(text);
    if (document.contains(pointer)) document[pointer.parent_pointer()].erase(pointer.back());
  }
  return document;
}

std::string shown(const json& document, const std::string& pointer) {
  const json::json_pointer at(pointer);
  return document.contains(at) ? document[at].dump(-1, ' ', false, json::error_handler_t::replace)
                               : "nothing";
}

/// "/load/max_current_A" to "load.max_current_A".
std::string dotted(std::string pointer) {
  if (!pointer.empty()) pointer.erase(0, 1);
  std::replace(pointer.begin(), pointer.end(), '/', '.');
  return pointer;
}

std::string first_difference(const char* what, const json& before, const json& now) {
  const json changes = json::diff(before, now);
  if (changes.empty()) return "";
  const auto pointer = changes.front()["path"].get<std::string>();
  return fmt::format("the {} is another: \"{}\" is {}, and was {} when the run began", what,
                     dotted(pointer), shown(now, pointer), shown(before, pointer));
}

std::string difference_of_instruments(const std::vector<reports::Instrument>& before,
                                      const std::vector<reports::Instrument>& now) {
  for (std::size_t i = 0; i < std::min(before.size(), now.size()); ++i)
    if (before[i].identity != now[i].identity)
      return fmt::format("the {} is another: it answers {}, and {} when the run began", now[i].role,
                         now[i].identity, before[i].identity);
  return before.size() == now.size() ? "" : "there was another number of instruments";
}

}  // namespace

std::string difference(const reports::RunHeader& header, const AtHand& now) {
  const auto pack = [](const json& document) {
    return without(document, {"/builder", "/built", "/mass_kg", "/price"});
  };
  const auto bench = [](const json& document) {
    return without(document, {"/name", "/load/port", "/load/baud", "/load/calibrated",
                              "/meter/port", "/meter/baud", "/meter/calibrated"});
  };
  const auto plan = [](const json& document) { return without(document, {"/name"}); };
  const auto read = [](const std::string& text) { return parse_json(text, "the archive"); };
  for (std::string found :
       {first_difference("pack", pack(read(header.pack_json)), pack(now.pack)),
        first_difference("bench", bench(read(header.bench_json)), bench(now.bench)),
        first_difference("plan", plan(read(header.plan_json)), plan(now.plan)),
        difference_of_instruments(header.instruments, now.instruments)})
    if (!found.empty()) return found;
  return "";
}

}  // namespace sagbench::bench
