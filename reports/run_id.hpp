#pragma once
// Names of runs: readable, sortable by time, and the same for the same run.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "reports/run_record.hpp"

namespace sagbench::reports {

/// FNV-1a, 64 bits, as 16 hex digits, over every text of the header, lengths included.
std::string header_hash(const RunHeader& header);

/// "YYYYMMDD-HHMMSS-xxxx": the header's start time and four hex digits drawn from its hash and
/// `earlier`, the number of runs with the same header before it. Absent when `utc` does not begin
/// with YYYY-MM-DDTHH:MM:SS.
std::optional<std::string> run_id(const std::string& utc, const std::string& hash_of_header,
                                  std::int64_t earlier);

/// Whether it has the form of one. Ids become names of folders.
bool is_run_id(std::string_view text) noexcept;

}  // namespace sagbench::reports
