#include <csignal>

#include "bench/system/program_start.hpp"

namespace sagbench::bench {

ProgramStart::ProgramStart(int argc, char** argv) : pointers_(argv, argv + argc + 1) {
  std::signal(SIGPIPE, SIG_IGN);
}

}  // namespace sagbench::bench
