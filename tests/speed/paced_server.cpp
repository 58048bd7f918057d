// speed_paced BAUD CAPACITY_AH: a load and a meter before a simulated pack, on two pseudo-terminals
// that are as slow as serial lines. Prints where, and then, in seconds of the monotonic clock:
//   on HEARD                 the input was told to go on
//   breach CAME              the last bit of the first changed answer has come to the program
//   off SENT HEARD BETWEEN   OFF: handed to the line, arrived, and how many other messages were
//                            handed to either line since the breach
// A line "QUESTION|ANSWER" on its stdin changes what is answered from then on, until OFF. Ends with
// its stdin.

#include <poll.h>
#include <sys/prctl.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <exception>
#include <map>

#include "paced_line.hpp"

namespace {

using namespace sagbench;
using drivers::virtual_bench::VirtualBench;
using speed::Message;
using speed::PacedLine;
using speed::Time;

constexpr const char* kOff = "INP OFF";
constexpr const char* kOn = "INP ON";

// The pack's time begins with the program, not with the computer.
const Time kBegin = std::chrono::steady_clock::now().time_since_epoch();

Time now() {
  return std::chrono::steady_clock::now().time_since_epoch() - kBegin;
}

double told_s(Time time) {
  return drivers::to_seconds(kBegin + time);
}

drivers::virtual_bench::WorldSpec world(double capacity_ah) {
  drivers::virtual_bench::WorldSpec world;
  world.pack.chemistry = analysis::Chemistry::lfp;
  world.pack.series = 4;
  world.pack.rated_capacity_ah = capacity_ah;
  return world;
}

class PacedServer {
 public:
  PacedServer(unsigned baud, double capacity_ah)
      : bench_(world(capacity_ah), {},
               drivers::virtual_bench::MeterSpec{{101, {102, 103, 104, 105}, 106}, {}}, 1),
        load_(bench_.load(), baud, ears()),
        meter_(bench_.meter(), baud, ears()) {
    std::printf("load %s\nmeter %s\n", load_.name().c_str(), meter_.name().c_str());
    std::fflush(stdout);
  }

  void serve() {
    while (!over_) {
      wait_until(std::min(load_.next(), meter_.next()));
      for (PacedLine* const line : {&load_, &meter_}) line->advance(now());
    }
  }

 private:
  void wait_until(Time due) {
    pollfd watched[] = {{load_.descriptor(), POLLIN, 0},
                        {meter_.descriptor(), POLLIN, 0},
                        {STDIN_FILENO, POLLIN, 0}};
    const Time left = std::clamp<Time>(due - now(), Time(0), std::chrono::seconds(1));
    const auto seconds = std::chrono::duration_cast<std::chrono::seconds>(left);
    const timespec wait{seconds.count(), (left - seconds).count()};
    if (::ppoll(watched, 3, &wait, nullptr) <= 0) return;
    if (watched[0].revents != 0) load_.take(now());
    if (watched[1].revents != 0) meter_.take(now());
    if (watched[2].revents != 0) obey();
  }

  void obey() {
    std::array<char, 256> line{};
    if (std::fgets(line.data(), line.size(), stdin) == nullptr) {
      over_ = true;
      return;
    }
    const std::string_view words(line.data());
    const std::size_t bar = words.find('|');
    if (bar != std::string_view::npos)
      changes_[std::string(words.substr(0, bar))] = words.substr(bar + 1);
  }

  PacedLine::Ears ears() {
    return {[this](const Message& message) { heard(message); },
            [this](const Message& message) { sent(message); },
            [this](const std::string& asked, std::string& answer) { return change(asked, answer); },
            [this](Time came) { breached(came); }};
  }

  void sent(const Message& message) {
    off_is_sent_ = off_is_sent_ || (breached_ && message.text == kOff);
    if (breached_ && !off_is_sent_) ++between_;
  }

  void heard(const Message& message) {
    if (message.text == kOn) tell("on %.6f\n", message.heard);
    if (message.text != kOff) return;
    std::printf("off %.6f %.6f %d\n", told_s(message.sent), told_s(message.heard), between_);
    std::fflush(stdout);
    changes_.clear();  // or the program would see the current flow on
  }

  bool change(const std::string& asked, std::string& answer) const {
    const auto found = changes_.find(asked);
    if (found == changes_.end()) return false;
    answer = found->second;
    return true;
  }

  void breached(Time came) {
    if (breached_) return;
    breached_ = true;
    tell("breach %.6f\n", came);
  }

  static void tell(const char* format, Time time) {
    std::printf(format, told_s(time));
    std::fflush(stdout);
  }

  VirtualBench bench_;
  PacedLine load_;
  PacedLine meter_;
  std::map<std::string, std::string> changes_;
  bool breached_ = false;
  bool off_is_sent_ = false;  // since the breach
  int between_ = 0;
  bool over_ = false;
};

}  // namespace

int main(int count, char** words) {
  if (count != 3) {
    std::fputs("usage: speed_paced BAUD CAPACITY_AH\n", stderr);
    return 2;
  }
  // Or the system wakes a sleeper 50 us late, to save power: half a byte at 115200 baud.
  ::prctl(PR_SET_TIMERSLACK, 1UL, 0UL, 0UL, 0UL);
  std::setvbuf(stdin, nullptr, _IONBF, 0);  // what is in a buffer poll() does not see
  try {
    PacedServer(static_cast<unsigned>(std::atoi(words[1])), std::atof(words[2])).serve();
  } catch (const std::exception& failure) {
    std::fprintf(stderr, "%s\n", failure.what());
    return 4;
  }
  return 0;
}
