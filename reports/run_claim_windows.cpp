#include <fmt/format.h>
#include <windows.h>

#include <filesystem>
#include <string>
#include <system_error>
#include <utility>

#include "reports/archive.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::reports {
namespace {

constexpr std::intptr_t kNone = -1;

[[noreturn]] void fail(const std::string& path, const char* what) {
  throw ArchiveError(ArchiveError::Kind::io,
                     fmt::format("{}: {} ({})", path, what,
                                 std::system_category().message(static_cast<int>(GetLastError()))));
}

BY_HANDLE_FILE_INFORMATION about(const std::string& archive_path) {
  constexpr DWORD kAll = FILE_SHARE_READ | FILE_SHARE_WRITE | FILE_SHARE_DELETE;
  BY_HANDLE_FILE_INFORMATION found = {};
  const HANDLE file = CreateFileW(std::filesystem::path(archive_path).c_str(), 0, kAll, nullptr,
                                  OPEN_EXISTING, FILE_FLAG_BACKUP_SEMANTICS, nullptr);
  if (file == INVALID_HANDLE_VALUE) fail(archive_path, "cannot be looked at");
  const bool told = GetFileInformationByHandle(file, &found) != 0;
  CloseHandle(file);
  if (!told) fail(archive_path, "cannot be looked at");
  return found;
}

/// Of an event that every session of this computer sees.
std::wstring name_of(const std::string& archive_path, const std::string& run_id) {
  const BY_HANDLE_FILE_INFORMATION file = about(archive_path);
  const std::string words =
      fmt::format("Global\\sagbench-run-{:x}-{:x}-{:x}-{}", file.dwVolumeSerialNumber,
                  file.nFileIndexHigh, file.nFileIndexLow, run_id);
  return {words.begin(), words.end()};  // a run's id is ASCII
}

HANDLE handle_of(std::intptr_t handle) {
  return reinterpret_cast<HANDLE>(handle);
}

}  // namespace

std::optional<RunClaim> RunClaim::take(const std::string& archive_path, const std::string& run_id) {
  const std::wstring name = name_of(archive_path, run_id);
  const HANDLE made = CreateEventW(nullptr, TRUE, FALSE, name.c_str());
  const DWORD told = GetLastError();
  // Another user's may be seen but not opened.
  if (made == nullptr && told == ERROR_ACCESS_DENIED) return std::nullopt;
  if (made == nullptr) fail(archive_path, "no mark can be set that a run is being written");
  RunClaim claim(reinterpret_cast<std::intptr_t>(made));
  if (told == ERROR_ALREADY_EXISTS) return std::nullopt;
  return claim;
}

bool RunClaim::is_held(const std::string& archive_path, const std::string& run_id) {
  const HANDLE held = OpenEventW(SYNCHRONIZE, FALSE, name_of(archive_path, run_id).c_str());
  if (held == nullptr) return GetLastError() == ERROR_ACCESS_DENIED;
  CloseHandle(held);
  return true;
}

RunClaim::~RunClaim() {
  if (handle_ != kNone) CloseHandle(handle_of(handle_));
}

RunClaim::RunClaim(RunClaim&& other) noexcept : handle_(std::exchange(other.handle_, kNone)) {}

RunClaim& RunClaim::operator=(RunClaim&& other) noexcept {
  std::swap(handle_, other.handle_);
  return *this;
}

}  // namespace sagbench::reports
