#pragma once
// Signals while a pack may be under load: none may end or suspend the program before the load is
// off.

#include <boost/asio/io_context.hpp>
#include <functional>
#include <memory>
#include <string>

namespace sagbench::bench {

/// While it lives: signals that would end the program call `stop` with their name ("INT"), on the
/// event loop. A stop from the terminal's keyboard (Ctrl-Z) is refused with a word, the terminal's
/// job control and a file size limit no longer stop or end the program. A hang-up that was ignored
/// when the program began (nohup) stays ignored. kill -9 and SIGSTOP are beyond reach.
/// On Windows: Ctrl-C ("INT"), Ctrl-Break ("BREAK"), the console's closing ("CLOSE"), log-off and
/// shutdown ("LOGOFF", "SHUTDOWN"). After the last three the system ends the program some seconds
/// later, safe or not.
class RunSignals {
 public:
  RunSignals(boost::asio::io_context& io, std::function<void(const std::string&)> stop);
  ~RunSignals();
  RunSignals(const RunSignals&) = delete;
  RunSignals& operator=(const RunSignals&) = delete;

  int seen() const noexcept;

 private:
  class Taken;
  std::shared_ptr<Taken> taken_;
};

}  // namespace sagbench::bench
