#pragma once
// Signals while a pack may be under load: none may end or suspend the program before the load is
// off.

#include <signal.h>

#include <array>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <functional>
#include <string>

namespace sagbench::bench {

/// While it lives: signals that would end the program call `stop` with their name ("INT"), on the
/// event loop. A stop from the terminal's keyboard (Ctrl-Z) is refused with a word, the terminal's
/// job control and a file size limit no longer stop or end the program. A hang-up that was ignored
/// when the program began (nohup) stays ignored. kill -9 and SIGSTOP are beyond reach.
class RunSignals {
 public:
  RunSignals(boost::asio::io_context& io, std::function<void(const std::string&)> stop);
  ~RunSignals();
  RunSignals(const RunSignals&) = delete;
  RunSignals& operator=(const RunSignals&) = delete;

  int seen() const noexcept { return seen_; }

 private:
  void await_next();

  static constexpr std::array kIgnored = {SIGTTIN, SIGTTOU, SIGXFSZ};

  boost::asio::signal_set signals_;
  std::function<void(const std::string&)> stop_;
  std::array<struct sigaction, kIgnored.size()> before_ = {};
  int seen_ = 0;
};

}  // namespace sagbench::bench
