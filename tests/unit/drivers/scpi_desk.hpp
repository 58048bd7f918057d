#pragma once
// A session with a scripted instrument that identifies itself, reports no errors and otherwise
// answers from a table.

#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "drivers/scpi_session.hpp"
#include "scripted_transport.hpp"
#include "virtual_time.hpp"

namespace sagbench::drivers::test {

// IEEE 488.2, 10.14: four fields.
inline const std::string kIdentity = "QBENCH,LOAD,0,1.0";
inline const std::string kNoError = "0,\"No error\"\n";  // SCPI-1999 Vol. 2, 21.8

struct Desk {
  VirtualTime time;
  std::shared_ptr<Script> script = std::make_shared<Script>();
  std::map<std::string, std::vector<Reply>> table;
  std::vector<std::string> errors;  // the instrument's queue, oldest first
  ScpiSession session;

  explicit Desk(SessionOptions options = with_role())
      : session(std::make_unique<ScriptedTransport>(script, time.clock), time.clock,
                std::move(options)) {
    script->answer = [this](const std::string& line) { return answer(line); };
  }

  static SessionOptions with_role() {
    SessionOptions options;
    options.role = "load";
    return options;
  }

  std::vector<Reply> answer(const std::string& line) {
    if (table.count(line) != 0) return table.at(line);
    if (line == "*IDN?") return {{kIdentity + "\n"}};
    if (line != "SYST:ERR?") return {};
    if (errors.empty()) return {{kNoError}};
    const std::string oldest = errors.front() + "\n";
    errors.erase(errors.begin());
    return {{oldest}};
  }

  Result<void> open() { return time.run(session.open()); }
  Result<Exchange> query(const std::string& message) { return time.run(session.query(message)); }
  /// The answer, or why there is none.
  std::string answer_to(const std::string& message) {
    const Result<Exchange> exchange = query(message);
    return exchange ? exchange->answer : exchange.error().message;
  }
  Result<Exchange> set(const std::string& message) { return time.run(session.set(message)); }
};

}  // namespace sagbench::drivers::test
