#include "bench/commands/report_file.hpp"

#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <fstream>
#include <map>
#include <string_view>
#include <utility>

#include "bench/files/input_error.hpp"
#include "bench/files/run_folder_file.hpp"
#include "reports/pdf_attachments.hpp"

namespace sagbench::bench {
namespace {

class FilesOfReport final : public RunFiles {
 public:
  explicit FilesOfReport(std::string path)
      : path_(std::move(path)), files_(reports::attachments_of(path_)) {}

  std::string path(const std::string& name) const override {
    return fmt::format("{}: attached {}", path_, name);
  }
  std::optional<std::string> content(const std::string& name) const override {
    const auto found = files_.find(name);
    return found == files_.end() ? std::nullopt : std::optional(found->second);
  }

 private:
  std::string path_;
  std::map<std::string, std::string> files_;
};

}  // namespace

bool is_report(const std::string& path) {
  constexpr std::string_view kBegin = "%PDF-";
  std::array<char, kBegin.size()> first{};
  std::ifstream file(std::filesystem::path(path), std::ios::binary);
  file.read(first.data(), first.size());
  return std::string_view(first.data(), static_cast<std::size_t>(file.gcount())) == kBegin;
}

reports::RunRecord read_report(const std::string& path) {
  const FilesOfReport files(path);
  if (!files.content("run.json"))
    throw InputError(path +
                     ": no run is attached to this PDF; a test report made by sagbench, "
                     "without --no-attachments, is expected");
  return read_run_files(files);
}

}  // namespace sagbench::bench
