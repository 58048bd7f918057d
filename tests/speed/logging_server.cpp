// speed_logging BAUD CAPACITY_AH: a load and a meter before a simulated pack, on two
// pseudo-terminals that are as slow as serial lines. Prints where, and whether the system lets it
// run before everything else ("promptly") or like any other process ("in turn"). Ends with its
// stdin and then prints one line for each message that came:
//   LINE SENT HEARD OVER TEXT
// LINE: load or meter. SENT: its first byte was handed to the line. HEARD: its last bit was at the
// instrument. OVER: the last bit of its answer was back; HEARD where there is none. Seconds of the
// monotonic clock.

#include <sched.h>

#include <cstdio>
#include <cstdlib>
#include <exception>
#include <vector>

#include "paced_bench.hpp"

namespace {

using namespace sagbench;
using speed::Message;
using speed::PacedLine;
using speed::Time;

class LoggingServer {
 public:
  LoggingServer(unsigned baud, double capacity_ah)
      : bench_(baud, capacity_ah, ears("load"), ears("meter")) {}

  void serve() {
    while (!bench_.turn()) continue;
  }

  void print() const {
    for (const Entry& entry : log_)
      std::printf("%s %.6f %.6f %.6f %s\n", entry.line, bench_.told_s(entry.message.sent),
                  bench_.told_s(entry.message.heard), bench_.told_s(entry.over),
                  entry.message.text.c_str());
  }

 private:
  struct Entry {
    const char* line;
    Message message;
    Time over;
  };

  PacedLine::Ears ears(const char* line) {
    PacedLine::Ears ears;
    ears.over = [this, line](const Message& message, Time over) {
      log_.push_back({line, message, over});
    };
    return ears;
  }

  std::vector<Entry> log_;
  speed::PacedBench bench_;
};

/// What is measured is the program, not how long this process waits for its turn.
bool run_before_others() {
  const sched_param lowest{1};
  return ::sched_setscheduler(0, SCHED_FIFO, &lowest) == 0;
}

}  // namespace

int main(int count, char** words) {
  if (count != 3) {
    std::fputs("usage: speed_logging BAUD CAPACITY_AH\n", stderr);
    return 2;
  }
  try {
    LoggingServer server(static_cast<unsigned>(std::atoi(words[1])), std::atof(words[2]));
    std::puts(run_before_others() ? "promptly" : "in turn");
    std::fflush(stdout);
    server.serve();
    server.print();
  } catch (const std::exception& failure) {
    std::fprintf(stderr, "%s\n", failure.what());
    return 4;
  }
  return 0;
}
