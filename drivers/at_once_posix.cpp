#include <sys/ioctl.h>
#include <sys/socket.h>
#include <unistd.h>

#include "drivers/at_once.hpp"

namespace sagbench::drivers {
namespace {

std::size_t counted(ssize_t count) {
  return count > 0 ? static_cast<std::size_t>(count) : 0;
}

std::size_t take_from(int handle, std::span<char> room) {
  int waiting = 0;
  if (::ioctl(handle, FIONREAD, &waiting) != 0 || waiting <= 0) return 0;
  return counted(::read(handle, room.data(), room.size()));
}

}  // namespace

std::size_t send_at_once(boost::asio::ip::tcp::socket& socket, std::string_view bytes) {
  return counted(
      ::send(socket.native_handle(), bytes.data(), bytes.size(), MSG_DONTWAIT | MSG_NOSIGNAL));
}

std::size_t send_at_once(boost::asio::serial_port& port, std::string_view bytes) {
  // Asio opens it so that it never waits.
  return counted(::write(port.native_handle(), bytes.data(), bytes.size()));
}

std::size_t take_at_once(boost::asio::ip::tcp::socket& socket, std::span<char> room) {
  return take_from(socket.native_handle(), room);
}

std::size_t take_at_once(boost::asio::serial_port& port, std::span<char> room) {
  return take_from(port.native_handle(), room);
}

}  // namespace sagbench::drivers
