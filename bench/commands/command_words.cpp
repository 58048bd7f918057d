#include "bench/commands/command_words.hpp"

#include <CLI/Option.hpp>
#include <algorithm>
#include <sstream>

namespace sagbench::bench {
namespace {

/// Of a type's name such as "TEXT:{pty,tcp}".
std::vector<std::string> choices_in(const std::string& type) {
  const auto open = type.find('{'), close = type.find('}');
  if (open == std::string::npos || close == std::string::npos) return {};
  std::vector<std::string> choices;
  std::istringstream list(type.substr(open + 1, close - open - 1));
  for (std::string choice; std::getline(list, choice, ',');) choices.push_back(choice);
  return choices;
}

OptionWords words_of(const CLI::Option& option) {
  OptionWords words;
  const auto& long_names = option.get_lnames();
  words.name = long_names.empty() ? option.get_single_name() : "--" + long_names.front();
  words.meaning = option.get_description();
  words.takes_value = option.get_items_expected_max() > 0;
  words.required = option.get_required();
  words.choices = choices_in(option.get_type_name());
  return words;
}

}  // namespace

std::vector<CommandWords> words_of(const CLI::App& app) {
  std::vector<CommandWords> commands;
  for (const CLI::App* sub : app.get_subcommands({})) {
    if (sub->get_group().empty()) continue;  // not for people
    CommandWords command{sub->get_name(), sub->get_description(), {}, {}};
    for (const CLI::Option* option : sub->get_options())
      (option->get_positional() ? command.operands : command.options).push_back(words_of(*option));
    commands.push_back(std::move(command));
  }
  return commands;
}

}  // namespace sagbench::bench
