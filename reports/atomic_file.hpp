#pragma once
// A file that is either whole or not there.

#include <string>
#include <string_view>
#include <vector>

namespace sagbench::reports {

/// Writes `bytes` to a new file beside `path`, flushes it to the disk and renames it to `path`. On
/// any failure the new file is removed, what stood at `path` stays, and ReportError names `path`
/// and the cause. A `path` that exists and is no regular file (a folder, a device) is refused.
void write_file_whole(const std::string& path, std::string_view bytes);

struct WholeFile {
  std::string path;
  std::string bytes;
};
/// The same for files that belong together: none gets its name before all are on the disk.
void write_files_whole(const std::vector<WholeFile>& files);

}  // namespace sagbench::reports
