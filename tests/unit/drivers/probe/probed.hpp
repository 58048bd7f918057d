#pragma once
// One probe of a worded instrument in virtual time, and what went over the line.

#include <algorithm>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "catch.hpp"
#include "drivers/probe/dialect_probe.hpp"
#include "result_printing.hpp"
#include "scripted_transport.hpp"
#include "virtual_time.hpp"
#include "worded_instrument.hpp"

namespace sagbench::drivers::test {

struct Probed {
  explicit Probed(WordedInstrument worded) : instrument(std::move(worded)) {
    script->answer = [this](const std::string& line) {
      instrument.now = time.clock.now();
      return instrument.hear(line);
    };
    before = instrument.state();
    findings = time.run(probe_dialect(std::make_unique<ScriptedTransport>(script, time.clock),
                                      time.clock, [](std::string_view) {}));
  }

  bool heard(const std::string& message) const {
    return std::find(script->heard.begin(), script->heard.end(), message) != script->heard.end();
  }
  /// Messages that are no queries and no common commands.
  std::vector<std::string> settings_sent() const {
    std::vector<std::string> sent;
    for (const std::string& line : script->heard) {
      if (line.find('?') == std::string::npos && !line.starts_with('*')) sent.push_back(line);
    }
    return sent;
  }
  bool says_unknown(const std::string& word) const {
    return std::any_of(findings->unknown.begin(), findings->unknown.end(),
                       [&](const std::string& s) { return s.find(word) != std::string::npos; });
  }

  VirtualTime time;
  WordedInstrument instrument;
  std::shared_ptr<Script> script = std::make_shared<Script>();
  std::map<std::string, std::string> before;
  Result<ProbeFindings> findings = Error{};
};

/// True for what switches an input on in any of the forms a probe knows.
inline bool switches_on(std::string line) {
  std::transform(line.begin(), line.end(), line.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  const bool is_input = line.find("INP") != std::string::npos ||
                        line.find("OUTP") != std::string::npos ||
                        line.find("LOAD") != std::string::npos;
  return is_input && line.find('?') == std::string::npos && line.find("OFF") == std::string::npos &&
         !line.ends_with(" 0");
}

inline void require_harmless(const Probed& probed) {
  for (const std::string& line : probed.script->heard) {
    CAPTURE(line);
    CHECK_FALSE(switches_on(line));
  }
  CHECK(probed.instrument.settings == probed.before);
}

}  // namespace sagbench::drivers::test
