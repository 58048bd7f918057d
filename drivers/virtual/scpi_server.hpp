#pragma once
// Serves a virtual instrument in real time to any client: on a TCP port or on a pseudo-terminal.

#include <boost/asio/awaitable.hpp>
#include <boost/asio/io_context.hpp>
#include <cstdint>
#include <memory>
#include <string>

#include "drivers/clock.hpp"
#include "drivers/result.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::drivers::virtual_bench {

/// One client at a time, one after another; a second waits. When a client vanishes the instrument
/// stays as it is, as a real one does: an input that is on stays on. The io_context, the clock and
/// the instrument must outlive the server.
class ScpiServer {
 public:
  virtual ~ScpiServer() = default;

  /// On 127.0.0.1 only; port 0 takes a free one.
  static Result<std::unique_ptr<ScpiServer>> tcp(boost::asio::io_context& io, Clock& clock,
                                                 VirtualInstrument& instrument,
                                                 std::uint16_t port = 0);
  /// Whether the system has pseudo-terminals.
  static bool has_pty() noexcept;
  /// Raw on both ends. Clients may close and open it again; answers nobody read meanwhile wait for
  /// the next.
  static Result<std::unique_ptr<ScpiServer>> pty(boost::asio::io_context& io, Clock& clock,
                                                 VirtualInstrument& instrument);

  /// "tcp:127.0.0.1:PORT" or "/dev/pts/N".
  virtual const std::string& address() const noexcept = 0;
  /// Serves until stop(). Throws boost::system::system_error when the system refuses to go on. Call
  /// once.
  virtual boost::asio::awaitable<void> run() = 0;
  /// Ends run() soon and hangs up. From the thread that runs the io_context.
  virtual void stop() noexcept = 0;
};

}  // namespace sagbench::drivers::virtual_bench
