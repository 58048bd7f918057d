#include <fcntl.h>
#include <io.h>
#include <windows.h>
// After it: it wants its types.
#include <shellapi.h>

#include <cstdio>
#include <filesystem>
#include <memory>

#include "bench/system/program_start.hpp"

namespace sagbench::bench {
namespace {

/// What main() is given has lost the letters that the system's own code page lacks.
std::vector<std::string> whole_words() {
  int count = 0;
  const std::unique_ptr<LPWSTR, decltype(&LocalFree)> words(
      CommandLineToArgvW(GetCommandLineW(), &count), &LocalFree);
  std::vector<std::string> whole;
  for (int i = 0; words && i < count; ++i)
    whole.push_back(std::filesystem::path(words.get()[i]).string());
  return whole;
}

void ask_for_escape_sequences(DWORD which) {
  const HANDLE console = GetStdHandle(which);
  DWORD mode = 0;
  if (GetConsoleMode(console, &mode))
    SetConsoleMode(console, mode | ENABLE_VIRTUAL_TERMINAL_PROCESSING);
}

}  // namespace

ProgramStart::ProgramStart(int argc, char** argv) : words_(whole_words()) {
  if (words_.empty()) words_.assign(argv, argv + argc);
  for (std::string& word : words_) pointers_.push_back(word.data());
  pointers_.push_back(nullptr);
  SetConsoleOutputCP(CP_UTF8);
  for (std::FILE* stream : {stdout, stderr}) _setmode(_fileno(stream), _O_BINARY);
  for (const DWORD which : {STD_OUTPUT_HANDLE, STD_ERROR_HANDLE}) ask_for_escape_sequences(which);
}

}  // namespace sagbench::bench
