#include "drivers/port_access.hpp"

#include <fmt/format.h>
#include <grp.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <charconv>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <system_error>

namespace sagbench::drivers {
namespace {

namespace fs = std::filesystem;

std::optional<pid_t> pid_of(const std::string& folder) {
  pid_t pid = 0;
  const char* const end = folder.data() + folder.size();
  const auto [rest, failure] = std::from_chars(folder.data(), end, pid);
  if (failure != std::errc() || rest != end) return std::nullopt;
  return pid;
}

/// Not std::filesystem::equivalent(): older libraries refuse to compare devices with it.
bool same_file(const fs::path& one, const fs::path& other) {
  struct stat first {};
  struct stat second {};
  return ::stat(one.c_str(), &first) == 0 && ::stat(other.c_str(), &second) == 0 &&
         first.st_dev == second.st_dev && first.st_ino == second.st_ino;
}

bool has_open(const fs::path& process, const fs::path& device) {
  std::error_code hidden;
  for (fs::directory_iterator file(process / "fd", hidden), end; !hidden && file != end;
       file.increment(hidden)) {
    std::error_code gone;
    if (fs::read_symlink(file->path(), gone) != device || gone) continue;
    // The same name may be another device to a process in a container.
    if (same_file(file->path(), device)) return true;
  }
  return false;
}

std::string group_name(gid_t group) {
  std::array<char, 4096> room{};
  struct group entry {};
  struct group* found = nullptr;
  ::getgrgid_r(group, &entry, room.data(), room.size(), &found);
  return found == nullptr ? fmt::format("{}", group) : std::string(entry.gr_name);
}

std::string no_permission(const std::string& device) {
  struct stat file {};
  if (::stat(device.c_str(), &file) != 0) return "no permission to open it";
  constexpr mode_t kGroupMay = S_IRGRP | S_IWGRP;
  if ((file.st_mode & kGroupMay) != kGroupMay) {
    return fmt::format("no permission: not even its group may use it (mode {:04o})",
                       file.st_mode & 07777U);
  }
  const std::string group = group_name(file.st_gid);
  return fmt::format("no permission: join group {0} (sudo usermod -aG {0} $USER), then log in anew",
                     group);
}

}  // namespace

std::string other_holder(const std::string& device) {
  std::error_code failure;
  const fs::path real = fs::canonical(device, failure);
  if (failure) return {};
  for (fs::directory_iterator process("/proc", failure), end; !failure && process != end;
       process.increment(failure)) {
    const auto pid = pid_of(process->path().filename());
    if (!pid || *pid == ::getpid() || !has_open(process->path(), real)) continue;
    std::ifstream file(process->path() / "comm");
    std::string name;
    std::getline(file, name);
    return fmt::format("{} (pid {})", name.empty() ? "a program" : name, *pid);
  }
  return {};
}

std::string in_use(const std::string& device) {
  const std::string holder = other_holder(device);
  if (holder.empty()) return "in use already, by this program or one that does not show";
  return "in use by " + holder;
}

bool is_console(const std::string& device) {
  std::ifstream file("/sys/class/tty/console/active");
  const std::string name = fs::path(device).filename();
  const std::istream_iterator<std::string> end;
  return std::find(std::istream_iterator<std::string>(file), end, name) != end;
}

std::string why_not_opened(const std::string& device, int error) {
  switch (error) {
    case ENOENT:
    case ENODEV:
    case ENXIO:
      return "no such port";
    case EACCES:
    case EPERM:
      return no_permission(device);
    case EBUSY:
      return in_use(device);
    default:
      return std::generic_category().message(error);
  }
}

}  // namespace sagbench::drivers
