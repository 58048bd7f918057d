// Runs a fuzz target on every file of a folder. Usage: PROGRAM FOLDER. Fails when there is none.

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace {

std::vector<std::filesystem::path> files_of(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> files;
  std::error_code absent;
  for (const auto& entry : std::filesystem::directory_iterator(folder, absent)) {
    if (entry.is_regular_file()) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 2) {
    std::fputs("usage: PROGRAM FOLDER\n", stderr);
    return 2;
  }
  const auto files = files_of(arguments[1]);
  for (const auto& file : files) {
    std::ifstream stream(file, std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(stream), {}};
    std::printf("%s\n", file.filename().c_str());
    std::fflush(stdout);  // the last line names the input that stopped the program
    LLVMFuzzerTestOneInput(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
  }
  if (files.empty()) std::fprintf(stderr, "no inputs in %s\n", arguments[1]);
  return files.empty() ? 1 : 0;
}
