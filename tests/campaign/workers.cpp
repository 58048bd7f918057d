#include "workers.hpp"

#include <fmt/format.h>
#include <poll.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <stdexcept>
#include <vector>

#include "shrink.hpp"
#include "summary.hpp"
#include "trial.hpp"

namespace sagbench::campaign {
namespace {

constexpr unsigned kPatience_s = 120;  // a seed takes far less than a second
constexpr char kSeedDone = '.';
constexpr char kSummary = '{';

void write_all(int to, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t count = write(to, bytes.data(), bytes.size());
    if (count < 0) _exit(1);  // nobody listens any more
    bytes.remove_prefix(static_cast<std::size_t>(count));
  }
}

/// Failures differ in their numbers; what they are of is told by their words.
bool of_one_kind(std::string_view one, std::string_view other) {
  const auto words = [](std::string_view text) {
    std::string letters;
    for (const char c : text)
      if (c == ' ' || (c >= 'a' && c <= 'z')) letters += c;
    return letters.substr(0, 25);
  };
  return words(one) == words(other);
}

std::string reproduction(const Drawn& drawn) {
  return fmt::format("campaign --scene \"{}\" --faults \"{}\"", text_of(drawn.scene),
                     text_of(drawn.faults));
}

/// One process's share of the seeds.
class Share {
 public:
  explicit Share(const Order& order) : order_(order) {}

  Summary run(int worker, int to) {
    for (std::uint64_t i = static_cast<std::uint64_t>(worker); i < order_.seeds;
         i += static_cast<std::uint64_t>(order_.jobs)) {
      seed_ = order_.first + i;
      alarm(kPatience_s);  // ends the process: the parent says at which seed
      run_seed();
      write_all(to, std::string_view(&kSeedDone, 1));
    }
    alarm(0);
    return std::move(summary_);
  }

 private:
  Report trial(const Drawn& drawn) {
    return run_trial(drawn.scene, drawn.faults, disk_, folder_.path());
  }

  void run_seed() {
    const Drawn drawn = draw(seed_);
    Report report = trial(drawn);
    if (order_.twice_every > 0 && seed_ % order_.twice_every == 0) {
      ++summary_.compared;
      if (trial(drawn).digest != report.digest)
        report.failures.push_back("the second run differs from the first");
    }
    summary_.add(seed_, drawn.faults, report);
    if (!report.failures.empty()) note_failure(drawn, report.failures.front());
  }

  void note_failure(const Drawn& drawn, const std::string& why) {
    const Drawn least = shrunk(drawn, [&](const Drawn& d) {
      const Report report = trial(d);
      return !report.failures.empty() && of_one_kind(report.failures.front(), why);
    });
    const Report again = trial(least);
    summary_.failures.push_back(fmt::format("seed {}: {}\n  shrunk: {}\n  {}", seed_, why,
                                            again.failures.empty() ? why : again.failures.front(),
                                            reproduction(least)));
  }

  const Order& order_;
  Folder folder_;
  Disk disk_;
  Summary summary_;
  std::uint64_t seed_ = 0;
};

struct Worker {
  pid_t process = 0;
  int from = -1;
  std::uint64_t done = 0;
  std::string text;  // of its summary
  bool open = true;
};

Worker start(const Order& order, int number) {
  int ends[2];
  if (pipe(ends) != 0) throw std::runtime_error("no pipe");
  const pid_t process = fork();
  if (process < 0) throw std::runtime_error("no process");
  if (process == 0) {
    close(ends[0]);
    {
      Share share(order);
      write_all(ends[1], packed(share.run(number, ends[1])));
    }
    _exit(0);
  }
  close(ends[1]);
  Worker worker;
  worker.process = process;
  worker.from = ends[0];
  return worker;
}

void take(Worker& worker) {
  char bytes[4096];
  const ssize_t count = read(worker.from, bytes, sizeof bytes);
  if (count <= 0) {
    worker.open = false;
    close(worker.from);
    return;
  }
  for (const char byte : std::string_view(bytes, static_cast<std::size_t>(count))) {
    if (worker.text.empty() && byte == kSeedDone)
      ++worker.done;
    else
      worker.text += byte;
  }
}

class ProgressLine {
 public:
  explicit ProgressLine(std::uint64_t all) : all_(all) {}

  void show(std::uint64_t done) {
    using namespace std::chrono;
    const auto now = steady_clock::now();
    if (isatty(STDERR_FILENO) != 1 || now - shown_ < milliseconds(500)) return;
    shown_ = now;
    const double passed_s = duration<double>(now - began_).count();
    const double left_s =
        done > 0 ? passed_s / static_cast<double>(done) * static_cast<double>(all_ - done) : 0.0;
    fmt::print(stderr, "\r{} of {} seeds, about {:.0f} s left   ", done, all_, left_s);
  }
  void end() const {
    if (isatty(STDERR_FILENO) == 1) fmt::print(stderr, "\r{:60}\r", "");
  }

 private:
  std::uint64_t all_;
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
  std::chrono::steady_clock::time_point shown_{};
};

void listen(std::vector<Worker>& workers, std::uint64_t all) {
  ProgressLine progress(all);
  for (;;) {
    std::vector<pollfd> waits;
    std::vector<Worker*> whose;
    std::uint64_t done = 0;
    for (Worker& worker : workers) {
      done += worker.done;
      if (!worker.open) continue;
      waits.push_back({worker.from, POLLIN, 0});
      whose.push_back(&worker);
    }
    progress.show(done);
    if (waits.empty()) break;
    poll(waits.data(), waits.size(), 1000);
    for (std::size_t i = 0; i < waits.size(); ++i)
      if (waits[i].revents != 0) take(*whose[i]);
  }
  progress.end();
}

/// What the worker came to; its death is a failure of the seed it was at.
Summary result_of(const Order& order, const Worker& worker, int number) {
  int status = 0;
  waitpid(worker.process, &status, 0);
  if (WIFEXITED(status) && WEXITSTATUS(status) == 0 && worker.text.front() == kSummary)
    return unpacked(worker.text);
  Summary dead;
  const std::uint64_t seed = order.first + static_cast<std::uint64_t>(number) +
                             worker.done * static_cast<std::uint64_t>(order.jobs);
  dead.failures.push_back(fmt::format(
      "seed {}: the process {} (status {})\n  campaign --seed {}", seed,
      WIFSIGNALED(status) && WTERMSIG(status) == SIGALRM ? "hung" : "died", status, seed));
  return dead;
}

}  // namespace

Folder::Folder() {
  const std::filesystem::path memory = "/dev/shm";
  const auto place =
      access(memory.c_str(), W_OK) == 0 ? memory : std::filesystem::temp_directory_path();
  path_ = (place / "sagbench-campaign-XXXXXX").string();
  if (mkdtemp(path_.data()) == nullptr) throw std::runtime_error("no temporary folder");
}

Folder::~Folder() {
  std::error_code ignored;
  std::filesystem::remove_all(path_, ignored);
}

int run_campaign(const Order& order) {
  std::vector<Worker> workers;
  for (int number = 0; number < order.jobs; ++number) workers.push_back(start(order, number));
  listen(workers, order.seeds);
  Summary all;
  for (int number = 0; number < order.jobs; ++number)
    all.add(result_of(order, workers[static_cast<std::size_t>(number)], number));
  for (const std::string& failure : all.failures) fmt::print("FAILED {}\n", failure);
  fmt::print("{}", text_of(all));
  return all.failures.empty() ? 0 : 1;
}

}  // namespace sagbench::campaign
