// speed_paced BAUD CAPACITY_AH: a load and a meter before a simulated pack, on two pseudo-terminals
// that are as slow as serial lines. Prints where, and then, in seconds of the monotonic clock:
//   on HEARD                 the input was told to go on
//   breach CAME              the last bit of the first changed answer has come to the program
//   off SENT HEARD BETWEEN   OFF: handed to the line, arrived, and how many other messages were
//                            handed to either line since the breach
// A line "QUESTION|ANSWER" on its stdin changes what is answered from then on, until OFF. Ends with
// its stdin.

#include <array>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <map>
#include <string_view>

#include "paced_bench.hpp"

namespace {

using namespace sagbench;
using speed::Message;
using speed::PacedLine;
using speed::Time;

constexpr const char* kOff = "INP OFF";
constexpr const char* kOn = "INP ON";

class PacedServer {
 public:
  PacedServer(unsigned baud, double capacity_ah) : bench_(baud, capacity_ah, ears(), ears()) {}

  void serve() {
    while (!over_)
      if (bench_.turn()) obey();
  }

 private:
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
    std::printf("off %.6f %.6f %d\n", bench_.told_s(message.sent), bench_.told_s(message.heard),
                between_);
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

  void tell(const char* format, Time time) {
    std::printf(format, bench_.told_s(time));
    std::fflush(stdout);
  }

  speed::PacedBench bench_;
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
  std::setvbuf(stdin, nullptr, _IONBF, 0);  // what is in a buffer poll() does not see
  try {
    PacedServer(static_cast<unsigned>(std::atoi(words[1])), std::atof(words[2])).serve();
  } catch (const std::exception& failure) {
    std::fprintf(stderr, "%s\n", failure.what());
    return 4;
  }
  return 0;
}
