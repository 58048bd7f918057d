#include "reports/atomic_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <list>
#include <system_error>

#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

[[noreturn]] void fail(const std::string& path, int error) {
  throw ReportError(
      fmt::format("{}: cannot be written: {}", path, std::generic_category().message(error)));
}

// Owns the temporary file: closed and removed unless it was renamed.
class TemporaryFile {
 public:
  explicit TemporaryFile(const std::string& target)
      : target_(target), path_(fmt::format("{}.{}.part", target, ::getpid())) {
    constexpr int kReadableByAll = 0666;  // less the umask, as any other program's output
    fd_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, kReadableByAll);
    if (fd_ < 0) fail(target_, errno);
  }
  ~TemporaryFile() {
    if (fd_ >= 0) ::close(fd_);
    if (!renamed_) ::unlink(path_.c_str());
  }
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  void write(std::string_view bytes) {
    while (!bytes.empty()) {
      const ssize_t written = ::write(fd_, bytes.data(), bytes.size());
      if (written < 0 && errno == EINTR) continue;
      if (written < 0) fail(target_, errno);
      bytes.remove_prefix(static_cast<std::size_t>(written));
    }
  }

  /// To the disk; nothing more is written.
  void flush() {
    if (::fsync(fd_) != 0) fail(target_, errno);
    const int closed = ::close(fd_);
    fd_ = -1;
    if (closed != 0) fail(target_, errno);
  }

  void rename_to_target() {
    if (std::rename(path_.c_str(), target_.c_str()) != 0) fail(target_, errno);
    renamed_ = true;
  }

 private:
  std::string target_;
  std::string path_;
  int fd_ = -1;
  bool renamed_ = false;
};

// The name itself must survive power loss too.
void flush_folder(const std::string& path) {
  std::filesystem::path folder = std::filesystem::path(path).parent_path();
  if (folder.empty()) folder = ".";
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;  // a folder one may write but not read: the file is whole all the same
  ::fsync(fd);
  ::close(fd);
}

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
  flush_folder(path);
}

void write_files_whole(const std::vector<WholeFile>& files) {
  for (const WholeFile& file : files) refuse_what_is_no_file(file.path);
  std::list<TemporaryFile> written;
  for (const WholeFile& file : files) {
    written.emplace_back(file.path).write(file.bytes);
    written.back().flush();
  }
  for (TemporaryFile& file : written) file.rename_to_target();
  if (!files.empty()) flush_folder(files.back().path);
}

}  // namespace sagbench::reports
