#include "reports/atomic_file.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <list>
#include <system_error>

#include "reports/temporary_file.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

void refuse_what_is_no_file(const std::string& path) {
  std::error_code error;
  const auto status = std::filesystem::status(path, error);
  if (std::filesystem::exists(status) && !std::filesystem::is_regular_file(status))
    throw ReportError(fmt::format("{}: cannot be written: it is not a regular file", path));
}

}  // namespace

void write_file_whole(const std::string& path, std::string_view bytes) {
  refuse_what_is_no_file(path);
  TemporaryFile file(path);
  file.write(bytes);
  file.flush();
  file.rename_to_target();
  flush_folder_of(path);
}

void write_files_whole(const std::vector<WholeFile>& files) {
  for (const WholeFile& file : files) refuse_what_is_no_file(file.path);
  std::list<TemporaryFile> written;
  for (const WholeFile& file : files) {
    written.emplace_back(file.path).write(file.bytes);
    written.back().flush();
  }
  for (TemporaryFile& file : written) file.rename_to_target();
  if (!files.empty()) flush_folder_of(files.back().path);
}

}  // namespace sagbench::reports
