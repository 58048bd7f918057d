#pragma once
#include <filesystem>

namespace sagbench::reports {

/// Whether files can be made in it.
bool may_write_in(const std::filesystem::path& folder) noexcept;
/// Where SQLite keeps its temporary files from now on, for the whole program.
void keep_temporaries_in(const std::filesystem::path& folder) noexcept;

}  // namespace sagbench::reports
