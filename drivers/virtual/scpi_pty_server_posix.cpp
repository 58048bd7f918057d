#include <fcntl.h>
#include <stdlib.h>  // NOLINT(modernize-deprecated-headers): posix_openpt is POSIX, not C
#include <termios.h>

#include <array>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <cerrno>

#include "drivers/virtual/scpi_conversation.hpp"
#include "drivers/virtual/scpi_server.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

using Descriptor = boost::asio::posix::stream_descriptor;

class PtyServer final : public ScpiServer {
 public:
  PtyServer(Descriptor master, Descriptor slave, std::string address, Clock& clock,
            VirtualInstrument& instrument)
      : master_(std::move(master)),
        slave_(std::move(slave)),
        clock_(clock),
        instrument_(instrument),
        address_(std::move(address)) {}

  const std::string& address() const noexcept override { return address_; }

  boost::asio::awaitable<void> run() override {
    co_await ScpiConversation<Descriptor>(master_, clock_, instrument_).run();
    if (!stopped_) throw boost::system::system_error(boost::asio::error::eof, address_);
  }

  void stop() noexcept override {
    stopped_ = true;
    boost::system::error_code ignored;  // what is closed already stays closed
    master_.close(ignored);
    slave_.close(ignored);
  }

 private:
  Descriptor master_;
  Descriptor slave_;  // held open: without any opener the master reads an error
  Clock& clock_;
  VirtualInstrument& instrument_;
  std::string address_;
  bool stopped_ = false;
};

// Line discipline off: no echo, no line buffering, no mapping of line ends.
bool set_raw(int terminal) {
  termios settings{};
  if (tcgetattr(terminal, &settings) != 0) return false;
  cfmakeraw(&settings);
  return tcsetattr(terminal, TCSANOW, &settings) == 0;
}

// Takes ownership of an open descriptor at once, so that no way out of here leaks it.
bool adopt(Descriptor& descriptor, int opened) {
  if (opened < 0) return false;
  boost::system::error_code failure;
  descriptor.assign(opened, failure);
  return !failure;
}

bool open_pair(Descriptor& master, Descriptor& slave, std::string& address) {
  if (!adopt(master, posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC))) return false;
  if (grantpt(master.native_handle()) != 0 || unlockpt(master.native_handle()) != 0) return false;
  std::array<char, 128> name{};
  if (ptsname_r(master.native_handle(), name.data(), name.size()) != 0) return false;
  address = name.data();
  if (!adopt(slave, open(name.data(), O_RDWR | O_NOCTTY | O_CLOEXEC))) return false;
  return set_raw(slave.native_handle()) && set_raw(master.native_handle());
}

}  // namespace

bool ScpiServer::has_pty() noexcept {
  return true;
}

Result<std::unique_ptr<ScpiServer>> ScpiServer::pty(boost::asio::io_context& io, Clock& clock,
                                                    VirtualInstrument& instrument) {
  Descriptor master(io);
  Descriptor slave(io);
  std::string address;
  if (!open_pair(master, slave, address)) {
    const boost::system::error_code failure(errno, boost::system::system_category());
    return Error{ErrorKind::caller, "cannot open a pseudo-terminal: " + failure.message()};
  }
  return std::unique_ptr<ScpiServer>(std::make_unique<PtyServer>(
      std::move(master), std::move(slave), std::move(address), clock, instrument));
}

}  // namespace sagbench::drivers::virtual_bench
