#pragma once
// A run that `sagbench export` wrote, read back.

#include <optional>
#include <string>

#include "reports/run_record.hpp"

namespace sagbench::bench {

/// Where the files of an exported run are.
class RunFiles {
 public:
  virtual ~RunFiles() = default;
  /// For messages: path of the file.
  virtual std::string path(const std::string& name) const = 0;
  /// Empty: there is no such file. InputError or reports::CsvError when it cannot be read.
  virtual std::optional<std::string> content(const std::string& name) const = 0;
};

/// What reports::run_files() gave, unchanged. Throws InputError (run.json) or reports::CsvError,
/// one line: file, key or line, and what is accepted; so where they do not give the hash that they
/// state. What its samples and its files mean is not
/// looked at: an archive keeps them as they were.
reports::RunRecord read_run_files(const RunFiles& files);
/// From a folder that reports::write_run_folder() made.
reports::RunRecord read_run_folder(const std::string& folder);

}  // namespace sagbench::bench
