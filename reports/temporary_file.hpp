#pragma once
// A new file beside the one that it is to become.

#include <cstdint>
#include <string>
#include <string_view>

namespace sagbench::reports {

/// Closed and removed with this object unless it was renamed. Failures throw ReportError, which
/// names `target` and the cause.
class TemporaryFile {
 public:
  explicit TemporaryFile(const std::string& target);
  ~TemporaryFile();
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;

  void write(std::string_view bytes);
  /// To the disk; nothing more is written.
  void flush();
  /// Replaces what stands at the target, in one go.
  void rename_to_target();

 private:
  std::string target_;
  std::string path_;
  std::intptr_t handle_;  // the system's; -1 when closed
  bool renamed_ = false;
};

/// The name itself must survive power loss too.
void flush_folder_of(const std::string& path);

}  // namespace sagbench::reports
