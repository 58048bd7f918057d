#include "drivers/virtual/scpi_instrument.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr std::size_t kLongestLine = 4096;
constexpr std::size_t kMostKnownHeaders = 256;
constexpr Time kParsing = std::chrono::microseconds(100);
constexpr NumberLimits kRegister{0.0, 255.0, 0.0};

unsigned parse_register(const ScpiCall& call) {
  return static_cast<unsigned>(std::lround(parse_number(call.parameters[0], "", kRegister)));
}

void append_error(std::string& answer, int number) {
  answer += std::to_string(number) + ',' + quoted(fault_text(number));
}

}  // namespace

void append_number(std::string& answer, double value) {
  std::array<char, 32> text{};
  const auto [end, error] = std::to_chars(text.data(), text.data() + text.size(), value,
                                          std::chars_format::scientific, 7);
  if (!std::signbit(value)) answer.push_back('+');
  answer.append(text.data(), end);
}

void append_integer(std::string& answer, unsigned value) {
  answer += std::to_string(value);
}

ScpiInstrument::ScpiInstrument(std::string identity, std::function<void(Time)> reset,
                               std::vector<ScpiCommand> commands, std::size_t error_queue_length)
    : identity_(std::move(identity)), reset_(std::move(reset)), status_(error_queue_length) {
  for (ScpiCommand& command : commands) add(std::move(command));
  add_common_commands();
  add_system_commands();
}

void ScpiInstrument::add(ScpiCommand command) {
  HeaderPattern pattern(command.pattern);
  commands_.emplace_back(std::move(pattern), std::move(command));
}

void ScpiInstrument::add_common_commands() {
  add({"*IDN?", [this](ScpiCall& call) { call.answer += identity_; }});
  add({"*RST", [this](ScpiCall& call) { reset_(call.now); }});
  add({"*CLS", [this](ScpiCall&) { status_.clear(); }});
  add({"*ESE", [this](ScpiCall& call) { status_.event_enable = parse_register(call); }, 1, 1});
  add({"*ESE?", [this](ScpiCall& call) { append_integer(call.answer, status_.event_enable); }});
  add({"*ESR?", [this](ScpiCall& call) { append_integer(call.answer, status_.take_events()); }});
  // Every command here is finished before the next begins, so nothing is ever pending; a list that
  // plays is no operation of this kind.
  add({"*OPC", [this](ScpiCall&) { status_.operation_complete(); }});
  add({"*OPC?", [](ScpiCall& call) { call.answer += '1'; }});
  add({"*WAI", [](ScpiCall&) {}});
  add({"*SRE", [this](ScpiCall& call) { status_.service_enable = parse_register(call); }, 1, 1});
  add({"*SRE?", [this](ScpiCall& call) { append_integer(call.answer, status_.service_enable); }});
  add({"*STB?", [this](ScpiCall& call) {
         append_integer(call.answer, status_.status_byte(!answer_.empty()));
       }});
  add({"*TST?", [](ScpiCall& call) { call.answer += '0'; }});
}

void ScpiInstrument::add_system_commands() {
  add({"SYSTem:ERRor[:NEXT]?",
       [this](ScpiCall& call) { append_error(call.answer, status_.take_error()); }});
  add({"SYSTem:ERRor:COUNt?", [this](ScpiCall& call) {
         append_integer(call.answer, static_cast<unsigned>(status_.error_count()));
       }});
  add({"SYSTem:VERSion?", [](ScpiCall& call) { call.answer += "1999.0"; }});
}

std::vector<Answer> ScpiInstrument::receive(std::string_view bytes, Time now) {
  std::vector<Answer> answers;
  for (std::size_t end = bytes.find('\n'); end != std::string_view::npos; end = bytes.find('\n')) {
    std::string_view line = bytes.substr(0, end);
    if (!partial_line_.empty()) line = partial_line_.append(line);
    if (overrun_ || line.size() > kLongestLine) {
      status_.report(fault::kInputBufferOverrun);
    } else {
      accept(line, now, answers);
    }
    overrun_ = false;
    partial_line_.clear();
    bytes.remove_prefix(end + 1);
  }
  if (partial_line_.size() + bytes.size() > kLongestLine) overrun_ = true;
  if (overrun_) {
    partial_line_.clear();
  } else {
    partial_line_.append(bytes);
  }
  return answers;
}

void ScpiInstrument::forget_half_line() {
  partial_line_.clear();
  overrun_ = false;
}

void ScpiInstrument::power_cycle() {
  forget_half_line();
  status_.clear();
  status_.event_enable = status_.service_enable = 0;
}

void ScpiInstrument::accept(std::string_view line, Time now, std::vector<Answer>& answers) {
  if (hear_) hear_(now);
  Time takes = kParsing;
  answer_.clear();
  path_.reset();
  while (!line.empty()) {
    const std::size_t before = answer_.size();
    try {
      take_unit(line, unit_);
      if (!unit_.header.empty()) carry_out_unit(now, takes);
    } catch (const ScpiFault& fault) {
      answer_.resize(before);
      status_.report(fault.number);
    }
  }
  busy_until_ = std::max(busy_until_, now) + takes;
  if (!answer_.empty()) answers.push_back({busy_until_, answer_ + '\n'});
}

void ScpiInstrument::carry_out_unit(Time now, Time& takes) {
  const Known& known = find(path_.resolve(unit_.header));
  if (unit_.parameters.size() < known.command->least_parameters)
    throw ScpiFault{fault::kMissingParameter};
  if (unit_.parameters.size() > known.command->most_parameters)
    throw ScpiFault{fault::kParameterNotAllowed};
  if (known.command->pattern.ends_with('?') && !answer_.empty()) answer_.push_back(';');
  ScpiCall call{unit_.parameters, known.suffixes, now, answer_, takes};
  known.command->carry_out(call);
}

const ScpiInstrument::Known& ScpiInstrument::find(std::string_view header) {
  if (const auto found = known_.find(header); found != known_.end()) return found->second;
  for (const auto& [pattern, command] : commands_) {
    if (auto suffixes = pattern.match(header)) {
      if (known_.size() == kMostKnownHeaders) known_.clear();
      return known_.emplace(std::string(header), Known{&command, *std::move(suffixes)})
          .first->second;
    }
  }
  throw ScpiFault{fault::kUndefinedHeader};
}

}  // namespace sagbench::drivers::virtual_bench
