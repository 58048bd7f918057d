#include <windows.h>

#include <array>
#include <boost/asio/windows/object_handle.hpp>

#include "bench/system/keyboard.hpp"

namespace sagbench::bench {
namespace {

/// Closing it must not close the program's own.
HANDLE own_console() {
  HANDLE own = nullptr;
  const HANDLE process = GetCurrentProcess();
  DuplicateHandle(process, GetStdHandle(STD_INPUT_HANDLE), process, &own, 0, FALSE,
                  DUPLICATE_SAME_ACCESS);
  return own;
}

bool is_enter(const INPUT_RECORD& record) {
  return record.EventType == KEY_EVENT && record.Event.KeyEvent.bKeyDown &&
         record.Event.KeyEvent.wVirtualKeyCode == VK_RETURN;
}

}  // namespace

/// Waits for the console to have news of any kind, and takes only what is there.
struct Keyboard::Ear : std::enable_shared_from_this<Ear> {
  explicit Ear(boost::asio::io_context& io) : console(io, own_console()) {}

  void listen() {
    console.async_wait([self = shared_from_this()](const boost::system::error_code& error) {
      if (!error) self->take();
    });
  }

  void take() {
    DWORD waiting = 0;
    if (!GetNumberOfConsoleInputEvents(console.native_handle(), &waiting)) {
      key = Key::gone;
      return;
    }
    std::array<INPUT_RECORD, 1> record{};
    for (; waiting > 0 && key == Key::none; --waiting) {
      DWORD count = 0;
      if (!ReadConsoleInputW(console.native_handle(), record.data(), 1, &count)) key = Key::gone;
      if (count == 1 && is_enter(record[0])) key = Key::enter;
    }
    if (key == Key::none) listen();
  }

  boost::asio::windows::object_handle console;
  Key key = Key::none;
};

Keyboard::Keyboard(boost::asio::io_context& io) : ear_(std::make_shared<Ear>(io)) {
  FlushConsoleInputBuffer(GetStdHandle(STD_INPUT_HANDLE));
  ear_->listen();
}

Keyboard::~Keyboard() {
  boost::system::error_code ignored;  // nothing is lost with it
  ear_->console.close(ignored);
}

Key Keyboard::key() const noexcept {
  return ear_->key;
}

}  // namespace sagbench::bench
