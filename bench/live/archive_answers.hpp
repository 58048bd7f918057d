#pragma once
// Answers that need the archive. They take their time and wait for the disk: for a thread of their
// own. Nothing is written to the archive.

#include <functional>
#include <string>

#include "bench/live/asked.hpp"
#include "bench/live/reply.hpp"

namespace sagbench::live {

class ArchiveAnswers {
 public:
  explicit ArchiveAnswers(std::string path) : path_(std::move(path)) {}

  /// A refusal where there is no such run, it has not ended, or the archive cannot be read. Throws
  /// nothing.
  Reply answer(const Asked& asked) const noexcept;

 private:
  Reply make(const AskedRuns& asked) const;
  Reply make(const AskedFigures& asked) const;
  Reply make(const AskedHistory& asked) const;
  Reply make(const AskedReport& asked) const;
  Reply make(const AskedComparison& asked) const;
  /// What needs no archive is answered elsewhere.
  template <class Other>
  Reply make(const Other&) const;

  std::string path_;
};

}  // namespace sagbench::live
