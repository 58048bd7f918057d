#include <windows.h>

#include <boost/asio/post.hpp>
#include <mutex>
#include <utility>

#include "bench/system/run_signals.hpp"

namespace sagbench::bench {
namespace {

const char* name_of(DWORD event) {
  switch (event) {
    case CTRL_C_EVENT:
      return "INT";
    case CTRL_BREAK_EVENT:
      return "BREAK";
    case CTRL_CLOSE_EVENT:
      return "CLOSE";
    case CTRL_LOGOFF_EVENT:
      return "LOGOFF";
    default:
      return "SHUTDOWN";
  }
}

/// The system calls a plain function, on a thread of its own.
struct Receiver {
  std::mutex mutex;
  std::function<void(DWORD)> to;  // empty when there is none
};

Receiver& receiver() {
  static Receiver one;
  return one;
}

BOOL WINAPI on_event(DWORD event) {
  {
    const std::lock_guard lock(receiver().mutex);
    if (!receiver().to) return FALSE;
    receiver().to(event);
  }
  // To return from one of these would end the program at once. It ends when the load is off and the
  // archive closed, or when the system has had enough.
  if (event != CTRL_C_EVENT && event != CTRL_BREAK_EVENT) Sleep(INFINITE);
  return TRUE;
}

}  // namespace

class RunSignals::Taken : public std::enable_shared_from_this<Taken> {
 public:
  explicit Taken(std::function<void(const std::string&)> stop) : stop_(std::move(stop)) {}

  void begin(boost::asio::io_context& io) {
    // Never taken back: the system may hold a lock while an event is being answered.
    static const bool asked = SetConsoleCtrlHandler(on_event, TRUE) != 0;
    static_cast<void>(asked);
    const std::lock_guard lock(receiver().mutex);
    receiver().to = [&io, weak = weak_from_this()](DWORD event) {
      boost::asio::post(io, [weak, event] {
        if (const auto self = weak.lock()) self->take(event);
      });
    };
  }
  static void end() {
    const std::lock_guard lock(receiver().mutex);
    receiver().to = nullptr;
  }
  int seen() const noexcept { return seen_; }

 private:
  void take(DWORD event) {
    ++seen_;
    stop_(name_of(event));
  }

  std::function<void(const std::string&)> stop_;
  int seen_ = 0;
};

RunSignals::RunSignals(boost::asio::io_context& io, std::function<void(const std::string&)> stop)
    : taken_(std::make_shared<Taken>(std::move(stop))) {
  taken_->begin(io);
}

RunSignals::~RunSignals() {
  Taken::end();
}

int RunSignals::seen() const noexcept {
  return taken_->seen();
}

}  // namespace sagbench::bench
