#include <fmt/format.h>
#include <windows.h>

#include <algorithm>
#include <filesystem>
#include <system_error>

#include "reports/temporary_file.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {
namespace {

constexpr std::intptr_t kClosed = -1;

[[noreturn]] void fail(const std::string& path) {
  throw ReportError(fmt::format("{}: cannot be written: {}", path,
                                std::system_category().message(static_cast<int>(GetLastError()))));
}

HANDLE handle_of(std::intptr_t handle) {
  return reinterpret_cast<HANDLE>(handle);
}

std::wstring wide(const std::string& path) {
  return std::filesystem::path(path).wstring();
}

}  // namespace

TemporaryFile::TemporaryFile(const std::string& target)
    : target_(target), path_(fmt::format("{}.{}.part", target, GetCurrentProcessId())) {
  const HANDLE made = CreateFileW(wide(path_).c_str(), GENERIC_WRITE, 0, nullptr, CREATE_NEW,
                                  FILE_ATTRIBUTE_NORMAL, nullptr);
  if (made == INVALID_HANDLE_VALUE) fail(target_);
  handle_ = reinterpret_cast<std::intptr_t>(made);
}

TemporaryFile::~TemporaryFile() {
  if (handle_ != kClosed) CloseHandle(handle_of(handle_));
  if (!renamed_) DeleteFileW(wide(path_).c_str());
}

void TemporaryFile::write(std::string_view bytes) {
  constexpr std::size_t kMostAtOnce = 1U << 20U;
  while (!bytes.empty()) {
    DWORD written = 0;
    const auto count = static_cast<DWORD>(std::min(bytes.size(), kMostAtOnce));
    if (!WriteFile(handle_of(handle_), bytes.data(), count, &written, nullptr)) fail(target_);
    bytes.remove_prefix(written);
  }
}

void TemporaryFile::flush() {
  if (!FlushFileBuffers(handle_of(handle_))) fail(target_);
  const bool closed = CloseHandle(handle_of(handle_)) != 0;
  handle_ = kClosed;
  if (!closed) fail(target_);
}

void TemporaryFile::rename_to_target() {
  // Written through: it returns when the new name is on the disk.
  if (!MoveFileExW(wide(path_).c_str(), wide(target_).c_str(),
                   MOVEFILE_REPLACE_EXISTING | MOVEFILE_WRITE_THROUGH))
    fail(target_);
  renamed_ = true;
}

void flush_folder_of(const std::string&) {}  // rename_to_target() did

}  // namespace sagbench::reports
