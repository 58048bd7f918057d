#include <termios.h>
#include <unistd.h>

#include <array>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <string_view>

#include "bench/system/keyboard.hpp"

namespace sagbench::bench {

using boost::asio::posix::stream_descriptor;

/// Only waits for the terminal to be readable: reading through Asio would make the terminal
/// non-blocking for the shell too.
struct Keyboard::Ear : std::enable_shared_from_this<Ear> {
  explicit Ear(boost::asio::io_context& io) : terminal(io, dup(STDIN_FILENO)) {}

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

Keyboard::Keyboard(boost::asio::io_context& io) : ear_(std::make_shared<Ear>(io)) {
  tcflush(STDIN_FILENO, TCIFLUSH);
  ear_->listen();
}

Keyboard::~Keyboard() {
  boost::system::error_code ignored;  // nothing is lost with it
  ear_->terminal.close(ignored);
}

Key Keyboard::key() const noexcept {
  return ear_->key;
}

}  // namespace sagbench::bench
