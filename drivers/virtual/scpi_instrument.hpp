#pragma once
// The part of an instrument that speaks SCPI: lines, messages, the command table, common commands,
// errors. What a command does is its owner's.

#include <chrono>
#include <functional>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/virtual/scpi_fault.hpp"
#include "drivers/virtual/scpi_header.hpp"
#include "drivers/virtual/scpi_message.hpp"
#include "drivers/virtual/scpi_parameter.hpp"
#include "drivers/virtual/scpi_status.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::drivers::virtual_bench {

/// One message unit while it is carried out.
struct ScpiCall {
  std::span<const std::string_view> parameters;  // as many as the command allows
  std::span<const int> suffixes;
  Time now;
  std::string& answer;  // append here; a query gives something, a command nothing
  Time& takes;          // add the time the work takes before the answer can leave

  bool has(std::size_t parameter) const { return parameter < parameters.size(); }
};

/// A row of the command table.
struct ScpiCommand {
  std::string_view pattern;
  std::function<void(ScpiCall&)> carry_out;  // may throw ScpiFault
  std::size_t least_parameters = 0;
  std::size_t most_parameters = 0;
};

class ScpiInstrument final : public VirtualInstrument {
 public:
  /// `identity`: the four fields of *IDN?. `reset` is what *RST does. `commands` come beside the
  /// common ones.
  ScpiInstrument(std::string identity, std::function<void(Time)> reset,
                 std::vector<ScpiCommand> commands, std::size_t error_queue_length = 16);
  ScpiInstrument(const ScpiInstrument&) = delete;
  ScpiInstrument& operator=(const ScpiInstrument&) = delete;

  /// Lines end with LF, CR before it is ignored. A line of more than 4096 bytes is dropped whole
  /// (-363).
  std::vector<Answer> receive(std::string_view bytes, Time now) override;
  void forget_half_line() override;
  /// As after power-on: no errors, no half line.
  void power_cycle();
  /// Called for each complete message before it is carried out.
  void on_message(std::function<void(Time)> hear) { hear_ = std::move(hear); }
  /// An error that no message caused, such as a protection that tripped.
  void report(int number) { status_.report(number); }

 private:
  struct Known {
    const ScpiCommand* command;
    std::vector<int> suffixes;
  };

  void add(ScpiCommand command);
  void add_common_commands();
  void add_system_commands();
  void accept(std::string_view line, Time now, std::vector<Answer>& answers);
  void carry_out_unit(Time now, Time& takes);
  const Known& find(std::string_view header);

  std::string identity_;
  std::function<void(Time)> reset_;
  std::function<void(Time)> hear_;
  ScpiStatus status_;
  std::vector<std::pair<HeaderPattern, ScpiCommand>> commands_;
  std::map<std::string, Known, std::less<>> known_;  // headers met before

  std::string partial_line_;
  bool overrun_ = false;
  Time busy_until_{0};
  // Of the message being carried out; members to spare the hot path their allocation.
  HeaderPath path_;
  MessageUnit unit_;
  std::string answer_;
};

/// A number in the form NR3: "+1.3203450E+01".
void append_number(std::string& answer, double value);
void append_integer(std::string& answer, unsigned value);

}  // namespace sagbench::drivers::virtual_bench
