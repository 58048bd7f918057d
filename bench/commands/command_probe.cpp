// `sagbench probe`: works out a dialect by asking an instrument, and writes it for `run`.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cstdio>
#include <memory>
#include <stdexcept>
#include <utility>

#include "bench/commands/commands.hpp"
#include "bench/files/input_error.hpp"
#include "bench/safety/stop.hpp"
#include "bench/system/event_loop.hpp"
#include "bench/system/terminal.hpp"
#include "drivers/port_inquiry.hpp"
#include "drivers/probe/dialect_probe.hpp"
#include "drivers/transport.hpp"
#include "reports/atomic_file.hpp"

namespace sagbench::bench {
namespace {

using drivers::InstrumentClass;
using drivers::ProbeFindings;
using drivers::Transport;

/// At each common speed long enough for two questions.
constexpr auto kFindSpeedFor = std::chrono::milliseconds(4000);

[[noreturn]] void give_up(const drivers::Error& error) {
  if (error.kind == drivers::ErrorKind::caller) throw InputError(error.message);
  throw Stop(reports::RunEnd::instrument, error.message);
}

template <class Value>
Value expect(drivers::Result<Value> result) {
  if (!result) give_up(result.error());
  return std::move(*result);
}

/// On the terminal, in place, what is asked for now; nothing anywhere else.
class Asking {
 public:
  void about(std::string_view what) {
    if (shown_) fmt::print(stderr, "\r\x1b[Kasking about {}", what);
    std::fflush(stderr);
  }
  ~Asking() {
    if (shown_) std::fputs("\r\x1b[K", stderr);
  }

 private:
  bool shown_ = stderr_is_terminal();
};

/// Sets the speed at which somebody answers.
void find_speed(EventLoop& loop, Transport& line) {
  const drivers::Time deadline = loop.clock().now() + kFindSpeedFor;
  const auto answer = loop.run(drivers::ask_identity(line, loop.clock(), deadline));
  if (!answer.baud)
    throw Stop(reports::RunEnd::instrument, fmt::format("{}: {}", line.name(), answer.why));
  const auto set = line.change_baud(*answer.baud);
  if (!set) give_up(set.error());
}

ProbeFindings probe(const ProbeOptions& options) {
  EventLoop loop(false);
  auto line = expect(drivers::make_transport(loop.io().get_executor(), loop.clock(), options.port,
                                             options.baud.value_or(drivers::kCommonBauds.front())));
  Asking asking;
  if (line->has_baud() && !options.baud) {
    asking.about("the speed");
    find_speed(loop, *line);
  }
  return expect(loop.run(drivers::probe_dialect(
      std::move(line), loop.clock(), [&](std::string_view what) { asking.about(what); })));
}

void refuse_if_not_enough(const std::string& port, const ProbeFindings& found) {
  if (found.kind == InstrumentClass::neither) {
    throw InputError(fmt::format(
        "{}: {} is neither a load (an input to switch, a current to set) nor a meter (a "
        "voltage to measure) in any form of words that is known here",
        port, found.identity));
  }
  if (!found.is_enough()) {
    throw InputError(fmt::format("{}: {} lacks what a run needs: {}", port, found.identity,
                                 fmt::join(found.lacking, "; ")));
  }
}

std::string text_of(const ProbeFindings& found) {
  std::string text = drivers::to_json(found.dialect);
  const auto read_back = drivers::parse_dialect(text, "what was found");
  if (!read_back) throw std::logic_error(read_back.error().message);
  return text;
}

void say_what_is_unknown(const ProbeFindings& found) {
  if (found.unknown.empty()) return;
  std::fputs("Not found out:\n", stderr);
  for (const std::string& what : found.unknown) fmt::print(stderr, "  - {}\n", what);
}

}  // namespace

int command_probe(const ProbeOptions& options) {
  const ProbeFindings found = probe(options);
  refuse_if_not_enough(options.port, found);
  const std::string text = text_of(found);
  say_what_is_unknown(found);
  if (options.out.empty()) {
    fmt::print("{}", text);
    return 0;
  }
  reports::write_file_whole(options.out, text);
  fmt::print("{}: the dialect of {}, a {}\n", options.out, found.identity,
             found.kind == InstrumentClass::load ? "load" : "meter");
  return 0;
}

}  // namespace sagbench::bench
