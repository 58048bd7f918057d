#include <windows.h>

#include <exception>

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
  SetEnvironmentVariableW(L"TMP", folder.c_str());  // what GetTempPath() asks first
}

}  // namespace sagbench::reports
