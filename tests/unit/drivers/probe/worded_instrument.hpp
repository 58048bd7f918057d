#pragma once
// An instrument made of words: what it can be set to and asked for is a table, so that a test can
// give it any dialect and any bad habit.

#include <algorithm>
#include <cctype>
#include <chrono>
#include <deque>
#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "drivers/clock.hpp"
#include "scripted_transport.hpp"

namespace sagbench::drivers::test {

struct WordedInstrument {
  std::string identity = "QX0TEST,BENCH-LOAD,1,1";
  std::map<std::string, std::string> settings;  // header and present value
  std::map<std::string, std::string> answers;   // whole query and answer
  std::vector<std::string> needs_a_value{};     // headers that are known but tell nothing
  std::string error_query = "SYST:ERR?";        // empty: it has none
  bool reports_errors = true;
  bool clears = true;                         // knows *CLS
  Time takes = std::chrono::milliseconds(3);  // an answer out of `answers`
  Time mute_after_unknown{0};                 // how long it does nothing after an unknown message
  std::string complaint;                      // said to what it does not know; empty: nothing
  bool event_register = false;                // *ESR? of IEEE 488.2
  using Reaction = std::function<void(const std::string& words, WordedInstrument& self)>;
  Reaction when_set;    // told the header
  Reaction when_asked;  // told the query

  std::deque<int> errors;
  int events = 128;  // power on
  Time now{0};
  Time mute_until{0};
  Time busy_until{0};

  /// One message after the other: an answer waits for those before it.
  std::vector<Reply> hear(std::string line) {
    if (line.ends_with('\r')) line.pop_back();  // white space (IEEE 488.2, 7.4.1.2)
    if (line.empty() || now < mute_until) return {};
    std::vector<Reply> replies = react(line);
    for (Reply& reply : replies) {
      busy_until = std::max(now, busy_until) + reply.after;
      reply.after = busy_until - now;
    }
    return replies;
  }

  /// What it says at the end, for a comparison with what it said before.
  std::map<std::string, std::string> state() const { return settings; }

 private:
  std::vector<Reply> react(const std::string& line) {
    constexpr Time kAtOnce = std::chrono::milliseconds(1);
    if (line == "*IDN?") return {{identity + "\n", kAtOnce}};
    if (line == "*OPC?") return {{"1\n", kAtOnce}};
    if (line == "*CLS" && clears) return {};
    if (line == error_query) return {{next_error() + "\n", kAtOnce}};
    if (event_register && line == "*ESR?") {
      return {{std::to_string(std::exchange(events, 0)) + "\n", kAtOnce}};
    }
    if (when_asked) when_asked(line, *this);
    if (const auto known = answers.find(line); known != answers.end()) {
      return {{known->second + "\n", takes}};
    }
    if (line.ends_with('?')) {
      const auto set = settings.find(line.substr(0, line.size() - 1));
      if (set != settings.end()) return {{set->second + "\n", kAtOnce}};
    } else if (set(line)) {
      return {};
    }
    const bool lacks_value =
        std::find(needs_a_value.begin(), needs_a_value.end(), line) != needs_a_value.end();
    return meet(lacks_value ? -109 : -113);
  }

  bool set(const std::string& line) {
    const std::size_t gap = line.find(' ');
    const auto known = settings.find(line.substr(0, gap));
    if (gap == std::string::npos || known == settings.end()) return false;
    const std::string value = line.substr(gap + 1);
    known->second = value == "ON" ? "1" : value == "OFF" ? "0" : value;
    if (when_set) when_set(known->first, *this);
    return true;
  }

  std::vector<Reply> meet(int error) {
    if (reports_errors) errors.push_back(error);
    events |= 32;  // command error
    mute_until = now + mute_after_unknown;
    if (complaint.empty()) return {};
    return {{complaint + "\n", std::chrono::milliseconds(1)}};
  }

  std::string next_error() {
    if (errors.empty()) return "0,\"No error\"";
    const int number = errors.front();
    errors.pop_front();
    return std::to_string(number) + ",\"Not possible\"";
  }
};

/// The words of the built-in dialect and its guards.
inline WordedInstrument guarded_load() {
  WordedInstrument load;
  load.settings = {{"INP", "0"},        {"FUNC:MODE", "CURR"}, {"CURR", "1.5"},
                   {"CURR:PROT", "30"}, {"POW:PROT", "300"},   {"VOLT:PROT:LOW", "0"},
                   {"SYST:WATC", "0"},  {"SYST:RSEN", "1"}};
  load.answers = {
      {"MEAS:VOLT?", "13.203"}, {"MEAS:CURR?", "0.0002"}, {"MEAS:CURR?;VOLT?", "0.0001;13.204"},
      {"CURR? MIN", "0"},       {"CURR? MAX", "40"},      {"INP:PROT:TRIP?", "0"}};
  return load;
}

}  // namespace sagbench::drivers::test
