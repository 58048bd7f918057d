#include <winsock2.h>

#include <algorithm>
#include <cstdint>

#include "drivers/at_once.hpp"

namespace sagbench::drivers {
namespace {

/// For one overlapped call that Asio's completion port is not to hear of: that is what the lowest
/// bit says (documentation of GetQueuedCompletionStatus).
class OwnCall {
 public:
  OwnCall() : event_(CreateEventW(nullptr, TRUE, FALSE, nullptr)) {
    call_.hEvent = reinterpret_cast<HANDLE>(reinterpret_cast<std::uintptr_t>(event_) | 1U);
  }
  ~OwnCall() {
    if (event_ != nullptr) CloseHandle(event_);
  }
  OwnCall(const OwnCall&) = delete;
  OwnCall& operator=(const OwnCall&) = delete;
  bool ready() const noexcept { return event_ != nullptr; }
  OVERLAPPED* get() noexcept { return &call_; }

 private:
  HANDLE event_;
  OVERLAPPED call_ = {};
};

}  // namespace

std::size_t send_at_once(boost::asio::ip::tcp::socket&, std::string_view) {
  return 0;  // Asio's sockets are such that the system's send() would wait
}

std::size_t send_at_once(boost::asio::serial_port&, std::string_view) {
  return 0;  // a driver may hold a write until the bytes are out
}

std::size_t take_at_once(boost::asio::ip::tcp::socket& socket, std::span<char> room) {
  u_long waiting = 0;
  if (ioctlsocket(socket.native_handle(), FIONREAD, &waiting) != 0 || waiting == 0) return 0;
  const auto most = static_cast<int>(std::min<std::size_t>(waiting, room.size()));
  const int count = recv(socket.native_handle(), room.data(), most, 0);
  return count > 0 ? static_cast<std::size_t>(count) : 0;
}

std::size_t take_at_once(boost::asio::serial_port& port, std::span<char> room) {
  COMSTAT state = {};
  DWORD errors = 0;
  const HANDLE handle = port.native_handle();
  if (!ClearCommError(handle, &errors, &state) || state.cbInQue == 0) return 0;
  const auto most = static_cast<DWORD>(std::min<std::size_t>(state.cbInQue, room.size()));
  OwnCall call;
  if (!call.ready()) return 0;
  // No more than is there already: it ends at once.
  if (!ReadFile(handle, room.data(), most, nullptr, call.get()) &&
      GetLastError() != ERROR_IO_PENDING)
    return 0;
  DWORD count = 0;
  return GetOverlappedResult(handle, call.get(), &count, TRUE) ? count : 0;
}

}  // namespace sagbench::drivers
