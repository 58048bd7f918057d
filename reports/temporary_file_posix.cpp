#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <system_error>

#include "reports/temporary_file.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

[[noreturn]] void fail(const std::string& path, int error) {
  throw ReportError(
      fmt::format("{}: cannot be written: {}", path, std::generic_category().message(error)));
}

int descriptor(std::intptr_t handle) {
  return static_cast<int>(handle);
}

}  // namespace

TemporaryFile::TemporaryFile(const std::string& target)
    : target_(target), path_(fmt::format("{}.{}.part", target, ::getpid())) {
  constexpr int kReadableByAll = 0666;  // less the umask, as any other program's output
  handle_ = ::open(path_.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, kReadableByAll);
  if (handle_ < 0) fail(target_, errno);
}

TemporaryFile::~TemporaryFile() {
  if (handle_ >= 0) ::close(descriptor(handle_));
  if (!renamed_) ::unlink(path_.c_str());
}

void TemporaryFile::write(std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(descriptor(handle_), bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) fail(target_, errno);
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
}

void TemporaryFile::flush() {
  if (::fsync(descriptor(handle_)) != 0) fail(target_, errno);
  const int closed = ::close(descriptor(handle_));
  handle_ = -1;
  if (closed != 0) fail(target_, errno);
}

void TemporaryFile::rename_to_target() {
  if (std::rename(path_.c_str(), target_.c_str()) != 0) fail(target_, errno);
  renamed_ = true;
}

void flush_folder_of(const std::string& path) {
  std::filesystem::path folder = std::filesystem::path(path).parent_path();
  if (folder.empty()) folder = ".";
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;  // a folder one may write but not read: the file is whole all the same
  ::fsync(fd);
  ::close(fd);
}

}  // namespace sagbench::reports
