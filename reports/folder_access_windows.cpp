#include <sqlite3.h>
#include <windows.h>

#include <exception>
#include <string>

#include "reports/folder_access.hpp"

namespace sagbench::reports {

// Who may do what stands in lists that only a try goes through as the system does.
bool may_write_in(const std::filesystem::path& folder) noexcept {
  try {
    const auto tried = folder / ("sagbench-" + std::to_string(GetCurrentProcessId()) + ".try");
    const HANDLE file = CreateFileW(tried.c_str(), GENERIC_WRITE, 0, nullptr, CREATE_NEW,
                                    FILE_ATTRIBUTE_TEMPORARY | FILE_FLAG_DELETE_ON_CLOSE, nullptr);
    if (file == INVALID_HANDLE_VALUE) return false;
    CloseHandle(file);
    return true;
  } catch (const std::exception&) {
    return false;  // no memory for the name
  }
}

void keep_temporaries_in(const std::filesystem::path& folder) noexcept {
  try {
    const std::string name = folder.string();
    sqlite3_free(sqlite3_temp_directory);
    sqlite3_temp_directory = sqlite3_mprintf("%s", name.c_str());
  } catch (const std::exception&) {
    return;  // no memory for the name: they stay where the system has them
  }
}

}  // namespace sagbench::reports
