#pragma once
// Who is writing a run, as the system knows it.

#include <cstdint>
#include <optional>
#include <string>

namespace sagbench::reports {

/// While it lives, no other process of this computer takes the run for dead. It is a name in the
/// system's memory (on Linux an abstract Unix socket, on Windows an event), made of the archive
/// file's identity and the run's id: it leaves no file behind and goes with the process, however
/// that ends. Processes that Linux keeps in separate network namespaces do not see each other's.
class RunClaim {
 public:
  /// Nothing when a living process holds it already, this one included. The archive must exist.
  /// Throws ArchiveError.
  static std::optional<RunClaim> take(const std::string& archive_path, const std::string& run_id);
  /// Whether somebody holds it; disturbs nobody. Throws ArchiveError.
  static bool is_held(const std::string& archive_path, const std::string& run_id);

  ~RunClaim();
  RunClaim(RunClaim&& other) noexcept;
  RunClaim& operator=(RunClaim&& other) noexcept;

 private:
  explicit RunClaim(std::intptr_t handle) noexcept : handle_(handle) {}

  std::intptr_t handle_;  // the system's; -1 when another took it over
};

}  // namespace sagbench::reports
