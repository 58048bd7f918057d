#include <signal.h>

#include <array>
#include <boost/asio/signal_set.hpp>
#include <cstring>
#include <utility>

#include "bench/system/console.hpp"
#include "bench/system/run_signals.hpp"

namespace sagbench::bench {
namespace {

constexpr std::array kIgnored = {SIGTTIN, SIGTTOU, SIGXFSZ};

bool is_ignored(int signal) {
  struct sigaction now = {};
  return sigaction(signal, nullptr, &now) == 0 && now.sa_handler == SIG_IGN;
}

}  // namespace

class RunSignals::Taken {
 public:
  Taken(boost::asio::io_context& io, std::function<void(const std::string&)> stop)
      : signals_(io), stop_(std::move(stop)) {
    for (const int signal : {SIGINT, SIGTERM, SIGQUIT, SIGUSR1, SIGUSR2, SIGTSTP})
      signals_.add(signal);
    if (!is_ignored(SIGHUP)) signals_.add(SIGHUP);
    struct sigaction ignore = {};
    ignore.sa_handler = SIG_IGN;
    for (std::size_t i = 0; i < kIgnored.size(); ++i) sigaction(kIgnored[i], &ignore, &before_[i]);
    await_next();
  }
  ~Taken() {
    for (std::size_t i = 0; i < kIgnored.size(); ++i) sigaction(kIgnored[i], &before_[i], nullptr);
  }
  Taken(const Taken&) = delete;
  Taken& operator=(const Taken&) = delete;
  int seen() const noexcept { return seen_; }

 private:
  void await_next() {
    signals_.async_wait([this](const boost::system::error_code& error, int signal) {
      if (error) return;  // this object is gone
      await_next();
      if (signal == SIGTSTP) {
        say("\nA run cannot be suspended: nobody would watch the pack. Ctrl-C ends it.\n");
        return;
      }
      ++seen_;
      const char* name = sigabbrev_np(signal);
      stop_(name != nullptr ? name : std::to_string(signal));
    });
  }

  boost::asio::signal_set signals_;
  std::function<void(const std::string&)> stop_;
  std::array<struct sigaction, kIgnored.size()> before_ = {};
  int seen_ = 0;
};

RunSignals::RunSignals(boost::asio::io_context& io, std::function<void(const std::string&)> stop)
    : taken_(std::make_shared<Taken>(io, std::move(stop))) {}

RunSignals::~RunSignals() = default;

int RunSignals::seen() const noexcept {
  return taken_->seen();
}

}  // namespace sagbench::bench
