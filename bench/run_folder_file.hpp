#pragma once
// A run that `sagbench export` wrote, read back.

#include <string>

#include "reports/run_record.hpp"

namespace sagbench::bench {

/// What reports::write_run_folder() wrote, unchanged. Throws InputError (run.json) or
/// reports::CsvError, one line: file, key or line, and what is accepted. What its samples and its
/// files mean is not looked at: an archive keeps them as they were.
reports::RunRecord read_run_folder(const std::string& folder);

}  // namespace sagbench::bench
