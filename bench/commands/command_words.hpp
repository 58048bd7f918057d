#pragma once
// The command line told to shells and to man(1): both are written from what the program accepts.

#include <CLI/App.hpp>
#include <string>
#include <vector>

namespace sagbench::bench {

struct OptionWords {
  std::string name;  // "--bench", or what a word without an option is called: "run"
  std::string meaning;
  bool takes_value = true;
  bool required = false;
  std::vector<std::string> choices;  // empty: a file, or free words
};

struct CommandWords {
  std::string name, meaning;
  std::vector<OptionWords> options;
  std::vector<OptionWords> operands;
};

/// All commands of `app` that are shown to people, in its order.
std::vector<CommandWords> words_of(const CLI::App& app);

/// roff for man(1), section 1.
std::string man_page(const std::vector<CommandWords>& commands, const std::string& software);
/// To be read by bash, zsh or fish; `shell` is one of these names.
std::string completion(const std::vector<CommandWords>& commands, const std::string& shell);

}  // namespace sagbench::bench
