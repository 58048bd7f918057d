#pragma once
// What the command line has of the live page.

#include <string>

#include "bench/run/run_watch.hpp"

namespace sagbench::live {

struct PageOptions {
  std::string address{};  // ADDR:PORT; empty: none for a run, kUsualAddress for an archive
  bool stay = false;
};

/// For `sagbench run --live`; empty where no address is given. Throws bench::InputError.
bench::MakeRunWatch watch_for(const PageOptions& options, const std::string& archive);

/// `sagbench live`: serves until a signal ends it. Throws bench::InputError and
/// reports::ArchiveError.
int command_live(const std::string& archive, const PageOptions& options);

}  // namespace sagbench::live
