#include <unistd.h>

#include <cstdlib>

#include "reports/folder_access.hpp"

namespace sagbench::reports {

bool may_write_in(const std::filesystem::path& folder) noexcept {
  return access(folder.c_str(), W_OK) == 0;
}

void keep_temporaries_in(const std::filesystem::path& folder) noexcept {
  setenv("SQLITE_TMPDIR", folder.c_str(), 1);
}

}  // namespace sagbench::reports
