#pragma once
// A file that is either whole or not there.

#include <string>
#include <string_view>

namespace sagbench::reports {

/// Writes `bytes` to a new file beside `path`, flushes it to the disk and renames it to `path`. On
/// any failure the new file is removed, what stood at `path` stays, and ReportError names `path`
/// and the cause. A `path` that exists and is no regular file (a folder, a device) is refused.
void write_file_whole(const std::string& path, std::string_view bytes);

}  // namespace sagbench::reports
