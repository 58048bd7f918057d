#include "bench/text/run_progress.hpp"

#include <fmt/format.h>

#include <cstdio>
#include <string>

#include "bench/system/terminal.hpp"
#include "reports/number_text.hpp"

namespace sagbench::bench {

RunProgress::RunProgress(std::size_t count) : count_(count), shown_(stderr_is_terminal()) {}

void RunProgress::tell(std::size_t done) {
  const auto now = Clock::now();
  if (!shown_ || now - last_ < std::chrono::seconds(1)) return;
  last_ = now;
  const std::chrono::duration<double> took = now - begin_;
  const std::string left =
      done > 0 ? ", " +
                     reports::duration_text(took.count() / static_cast<double>(done) *
                                            static_cast<double>(count_ - done)) +
                     " left"
               : "";
  fmt::print(stderr, "analysing run {} of {}{} ...\n", done + 1, count_, left);
}

void tell_pack(std::size_t index, std::size_t count, const std::string& name) {
  if (stderr_is_terminal()) fmt::print(stderr, "pack {} of {}: {} ...\n", index + 1, count, name);
}

}  // namespace sagbench::bench
