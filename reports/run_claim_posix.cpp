#include <fmt/format.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstddef>
#include <system_error>
#include <utility>

#include "reports/archive.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::reports {
namespace {

[[noreturn]] void fail(const std::string& path, const char* what) {
  throw ArchiveError(ArchiveError::Kind::io, fmt::format("{}: {} ({})", path, what,
                                                         std::generic_category().message(errno)));
}

/// An address whose first byte is zero names no file.
struct Address {
  sockaddr_un name = {};
  socklen_t size = 0;
  const sockaddr* get() const { return reinterpret_cast<const sockaddr*>(&name); }
};

Address address_of(const std::string& archive_path, const std::string& run_id) {
  struct stat about = {};
  if (stat(archive_path.c_str(), &about) != 0) fail(archive_path, "cannot be looked at");
  const std::string words =
      fmt::format("sagbench/run/{:x}-{:x}/{}", about.st_dev, about.st_ino, run_id);
  Address address;
  address.name.sun_family = AF_UNIX;
  const std::size_t length = std::min(words.size(), sizeof address.name.sun_path - 1);
  std::copy_n(words.data(), length, address.name.sun_path + 1);
  address.size = static_cast<socklen_t>(offsetof(sockaddr_un, sun_path) + 1 + length);
  return address;
}

int socket_of(std::intptr_t handle) {
  return static_cast<int>(handle);
}

int new_socket(const std::string& path) {
  const int made = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
  if (made < 0) fail(path, "no mark can be set that a run is being written");
  return made;
}

}  // namespace

std::optional<RunClaim> RunClaim::take(const std::string& archive_path, const std::string& run_id) {
  const Address address = address_of(archive_path, run_id);
  RunClaim claim(new_socket(archive_path));
  if (bind(socket_of(claim.handle_), address.get(), address.size) == 0) return claim;
  if (errno != EADDRINUSE) fail(archive_path, "no mark can be set that a run is being written");
  return std::nullopt;
}

bool RunClaim::is_held(const std::string& archive_path, const std::string& run_id) {
  const Address address = address_of(archive_path, run_id);
  const RunClaim asking(new_socket(archive_path));
  return connect(socket_of(asking.handle_), address.get(), address.size) == 0;
}

RunClaim::~RunClaim() {
  if (handle_ >= 0) close(socket_of(handle_));
}

RunClaim::RunClaim(RunClaim&& other) noexcept : handle_(std::exchange(other.handle_, -1)) {}

RunClaim& RunClaim::operator=(RunClaim&& other) noexcept {
  std::swap(handle_, other.handle_);
  return *this;
}

}  // namespace sagbench::reports
