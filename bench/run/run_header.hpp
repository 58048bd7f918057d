#pragma once
// What the archive keeps of a run before its first sample.

#include <chrono>
#include <string>
#include <vector>

#include "bench/run/instruments.hpp"
#include "bench/run/run_session.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

/// Load first, with the identities they answer.
std::vector<reports::Instrument> instruments_used(const Bench& bench,
                                                  const Instruments& instruments);

/// The files, the instruments (open), the time, and notes: `remarks` and what the bench cannot do.
reports::RunHeader run_header(const RunRequest& request, const Instruments& instruments,
                              std::chrono::system_clock::time_point utc, bool virtual_time,
                              std::vector<std::string> remarks);

}  // namespace sagbench::bench
