// Words and options to commands.

#include "bench/commands/command_line.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <utility>

#include "bench/commands/command_line_fault.hpp"
#include "bench/commands/command_line_parts.hpp"
#include "bench/commands/command_words.hpp"
#include "bench/files/input_error.hpp"
#include "bench/version.hpp"

namespace sagbench::bench {
namespace {

/// For the package: the manual's page, and what shells complete.
void add_describe(CommandLine& line) {
  CLI::App* describe = add(line, "describe", "the command line, for man or a shell", [&line] {
    const auto commands = words_of(line.app);
    fmt::print("{}",
               line.out == "man" ? man_page(commands, kSoftware) : completion(commands, line.out));
    return 0;
  });
  describe->group("");  // not shown
  describe->add_option("for", line.out)
      ->required()
      ->check(CLI::IsMember({"man", "bash", "zsh", "fish"}));
}

/// The parser would only say that a command is missing.
void refuse_unknown_command(const CommandLine& line, const std::string& word) {
  std::vector<std::string> words;
  for (const auto& command : words_of(line.app)) words.push_back(command.name);
  if (word == "describe" || word.rfind('-', 0) == 0 ||
      std::find(words.begin(), words.end(), word) != words.end())
    return;
  throw InputError(fmt::format("unknown command \"{}\"; one of {}", word, fmt::join(words, ", ")));
}

}  // namespace

CLI::App* add(CommandLine& line, const std::string& word, const std::string& does,
              std::function<int()> command) {
  CLI::App* sub = line.app.add_subcommand(word, does);
  sub->callback([&line, command = std::move(command)] { line.chosen = command; });
  return sub;
}

int parse_and_run(int argc, char** argv) {
  CommandLine line;
  line.app.set_version_flag("--version", kSoftware);
  line.app.require_subcommand(1);
  add_bench_commands(line);
  add_archive_commands(line);
  add_describe(line);
  if (argc > 1) refuse_unknown_command(line, argv[1]);
  try {
    line.app.parse(argc, argv);
  } catch (const CLI::Success& wanted) {  // --help, --version
    return line.app.exit(wanted);
  } catch (const CLI::ParseError& error) {
    throw InputError(fault_of(line.app, error));
  }
  return line.chosen();
}

}  // namespace sagbench::bench
