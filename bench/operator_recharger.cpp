#include "bench/operator_recharger.hpp"

#include <fmt/format.h>
#include <termios.h>
#include <unistd.h>
#include <array>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <memory>
#include <string_view>
#include <utility>

#include "bench/console.hpp"
#include "bench/procedures.hpp"

namespace sagbench::bench {
namespace {

using boost::asio::posix::stream_descriptor;

constexpr double kLook_s = 1.0;

enum class Key { none, enter, gone };

/// What the person at the terminal typed. Only waits for the terminal to be readable: reading
/// through Asio would make the terminal non-blocking for the shell too.
struct Keyboard : std::enable_shared_from_this<Keyboard> {
  explicit Keyboard(boost::asio::io_context& io) : terminal(io, dup(STDIN_FILENO)) {}

  void listen() {
    terminal.async_wait(stream_descriptor::wait_read,
                        [self = shared_from_this()](const boost::system::error_code& error) {
                          if (!error) self->take();
                        });
  }

  void take() {
    std::array<char, 256> typed = {};
    const auto count = ::read(terminal.native_handle(), typed.data(), typed.size());
    if (count <= 0)
      key = Key::gone;
    else if (std::string_view(typed.data(), static_cast<std::size_t>(count)).find('\n') !=
             std::string_view::npos)
      key = Key::enter;
    else
      listen();
  }

  stream_descriptor terminal;
  Key key = Key::none;
};

/// Ends the listening also when the wait is ended by a stop.
class Listening {
 public:
  explicit Listening(boost::asio::io_context& io) : keyboard_(std::make_shared<Keyboard>(io)) {
    tcflush(STDIN_FILENO, TCIFLUSH);  // what was typed before the question is no answer to it
    keyboard_->listen();
  }
  ~Listening() {
    boost::system::error_code ignored;  // nothing is lost with it
    keyboard_->terminal.close(ignored);
  }
  Listening(const Listening&) = delete;
  Listening& operator=(const Listening&) = delete;
  Key key() const { return keyboard_->key; }

 private:
  std::shared_ptr<Keyboard> keyboard_;
};

/// A question on the terminal, as long as it lives.
class Question {
 public:
  explicit Question(const std::string& text) { console().ask(text); }
  ~Question() { console().answered(); }
  Question(const Question&) = delete;
  Question& operator=(const Question&) = delete;
};

/// The rested voltage is at least half way back to where it was when the pack was brought: far from
/// proof of a full pack, but an emptied or a disconnected one does not get there.
bool looks_recharged(double now_v, double emptied_v, double full_v) {
  return now_v >= (emptied_v + full_v) / 2.0;
}

}  // namespace

std::string OperatorRecharger::unavailable() const {
  if (isatty(STDIN_FILENO) == 1) return "";
  return "there is no terminal to confirm one; run the steps in separate plans";
}

boost::asio::awaitable<void> OperatorRecharger::recharge(StepContext& context) {
  Rig& rig = context.rig;
  const auto& last = rig.journal().acknowledged();
  const double emptied_v = last ? last->voltage_v : 0.0;
  const double full_v = rig.brought_v().value_or(emptied_v);
  std::string question =
      "\a\nThe next step needs a full pack. The load's input is off.\n"
      "Disconnect the pack, charge it fully by its maker's instructions, let it rest\n"
      "an hour, connect it again as before, then press Enter. Ctrl-C ends the run.\n";
  for (;;) {
    co_await wait_for_enter(rig, question);
    const analysis::Sample sample = co_await rig.sample(analysis::Phase::rest);
    if (looks_recharged(sample.voltage_v, emptied_v, full_v)) break;
    question = fmt::format(
        "\a\nThe pack stands at {:.2f} V; emptied it had {:.2f} V, at the start {:.2f} V.\n"
        "Is it charged and connected? Then press Enter. Ctrl-C ends the run.\n",
        sample.voltage_v, emptied_v, full_v);
  }
  co_await watch_rest(context, kLook_s, kLook_s, analysis::Phase::rest);
}

boost::asio::awaitable<void> OperatorRecharger::wait_for_enter(Rig& rig,
                                                               const std::string& question) {
  const Listening listening(io_);  // before the question: a quick answer must not be missed
  const Question asked(question);
  // Nothing is sampled meanwhile: a disconnected pack reads nothing, and that is no fault.
  while (listening.key() == Key::none) co_await rig.wait_until(rig.now_s() + kLook_s);
  if (listening.key() == Key::gone)
    throw Stop(reports::RunEnd::operator_stop,
               "the terminal was closed while a recharge was waited for");
}

}  // namespace sagbench::bench
