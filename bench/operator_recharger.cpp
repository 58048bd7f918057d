#include "bench/operator_recharger.hpp"

#include <fmt/format.h>
#include <unistd.h>
#include <boost/asio/read_until.hpp>
#include <memory>
#include <string>

#include "bench/procedures.hpp"

namespace sagbench::bench {
namespace {

constexpr double kLook_s = 2.0;

/// Whether a line came from the terminal. Shared with the pending read, which may end after the
/// recharge was called off.
struct Answer {
  bool given = false;
  std::string line;
};

}  // namespace

std::string OperatorRecharger::unavailable() const {
  if (isatty(STDIN_FILENO) == 1) return "";
  return "there is no terminal to confirm one; run the steps in separate plans";
}

boost::asio::awaitable<void> OperatorRecharger::recharge(StepContext& context) {
  fmt::print(
      stderr,
      "\a\nThe next step needs a full pack. The load's input is off.\n"
      "Disconnect the pack, charge it fully by its maker's instructions, let it rest an hour,\n"
      "connect it again as before, then press Enter. Ctrl-C ends the run.\n");
  boost::asio::posix::stream_descriptor terminal(io_, dup(STDIN_FILENO));
  const auto answer = std::make_shared<Answer>();
  boost::asio::async_read_until(
      terminal, boost::asio::dynamic_buffer(answer->line), '\n',
      [answer](const boost::system::error_code& error, std::size_t) { answer->given = !error; });
  // Nothing is sampled meanwhile: a disconnected pack reads nothing, and that is no fault.
  while (!answer->given) co_await context.rig.wait_until(context.rig.now_s() + kLook_s);
  co_await watch_rest(context, kLook_s, kLook_s, analysis::Phase::rest);
}

}  // namespace sagbench::bench
