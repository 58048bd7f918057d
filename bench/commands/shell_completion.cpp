#include <fmt/format.h>
#include <fmt/ranges.h>

#include <string_view>

#include "bench/commands/command_words.hpp"

namespace sagbench::bench {
namespace {

/// Of commands or of options.
template <class Words>
std::string names_of(const std::vector<Words>& all) {
  std::string names;
  for (const Words& words : all) names += (names.empty() ? "" : " ") + words.name;
  return names;
}

/// Between single quotes, for zsh and fish: an apostrophe is a typographic one, what else has a
/// meaning to the shell stands behind a backslash.
std::string quoted(std::string_view text, std::string_view meaningful) {
  std::string result;
  for (const char c : text) {
    if (c == '\'') {
      result += "\xE2\x80\x99";
      continue;
    }
    if (meaningful.find(c) != std::string_view::npos) result += '\\';
    result += c;
  }
  return result;
}

/// Run ids come from the archive that is named on the line already.
constexpr const char* kBashBegin = R"(# Completion of sagbench for bash.
_sagbench_runs() {
  local i
  for ((i = 1; i < COMP_CWORD - 1; ++i)); do
    if [[ ${COMP_WORDS[i]} == --archive ]]; then
      sagbench runs --archive "${COMP_WORDS[i + 1]/#\~/$HOME}" 2>/dev/null | cut -d' ' -f1
      return
    fi
  done
}

_sagbench() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]} command=${COMP_WORDS[1]}
)";

std::string bash(const std::vector<CommandWords>& commands) {
  std::string text = kBashBegin;
  text += fmt::format(
      "  if ((COMP_CWORD == 1)); then\n"
      "    mapfile -t COMPREPLY < <(compgen -W '{} --help --version' -- \"$word\")\n"
      "    return\n  fi\n  case $command$before in\n",
      names_of(commands));
  for (const CommandWords& command : commands)
    for (const OptionWords& option : command.options)
      if (!option.choices.empty())
        text += fmt::format(
            "    {}{}) mapfile -t COMPREPLY < <(compgen -W '{}' -- \"$word\"); return ;;\n",
            command.name, option.name, fmt::join(option.choices, " "));
  text += "  esac\n  if [[ $word == -* ]]; then\n    local options=\n    case $command in\n";
  for (const CommandWords& command : commands)
    text += fmt::format("      {}) options='{}' ;;\n", command.name, names_of(command.options));
  text +=
      "    esac\n    mapfile -t COMPREPLY < <(compgen -W \"$options\" -- \"$word\")\n    return\n  "
      "fi\n"
      "  if [[ $before != --* || $before == --continue ]]; then\n"
      "    mapfile -t COMPREPLY < <(compgen -W \"$(_sagbench_runs)\" -- \"$word\")\n  fi\n"
      "  ((${#COMPREPLY[@]})) || mapfile -t COMPREPLY < <(compgen -f -- \"$word\")\n}\n"
      "complete -o filenames -F _sagbench sagbench\n";
  return text;
}

std::string zsh_option(const OptionWords& option) {
  const std::string meaning = quoted(option.meaning, "[]:\\");
  if (!option.takes_value) return fmt::format("        '{}[{}]'", option.name, meaning);
  const std::string values = option.choices.empty()
                                 ? std::string("_files")
                                 : fmt::format("({})", fmt::join(option.choices, " "));
  return fmt::format("        '{}[{}]:value:{}'", option.name, meaning, values);
}

std::string zsh(const std::vector<CommandWords>& commands) {
  std::string text =
      "#compdef sagbench\n# Completion of sagbench for zsh.\nlocal -a commands\ncommands=(\n";
  for (const CommandWords& command : commands)
    text += fmt::format("  '{}:{}'\n", command.name, quoted(command.meaning, ":\\"));
  text +=
      ")\nif ((CURRENT == 2)); then\n  _describe command commands\nelse\n  local chosen=$words[2]\n"
      "  shift words\n  ((CURRENT--))\n  case $chosen in\n";
  for (const CommandWords& command : commands) {
    text += fmt::format("    {})\n      _arguments \\\n", command.name);
    for (const OptionWords& option : command.options) text += zsh_option(option) + " \\\n";
    text += "        '*:file:_files'\n      ;;\n";
  }
  return text + "  esac\nfi\n";
}

std::string fish(const std::vector<CommandWords>& commands) {
  std::string text = "# Completion of sagbench for fish.\n";
  for (const CommandWords& command : commands) {
    text += fmt::format("complete -c sagbench -n __fish_use_subcommand -f -a {} -d '{}'\n",
                        command.name, quoted(command.meaning, "\\"));
    for (const OptionWords& option : command.options) {
      std::string values = option.takes_value ? " -r" : "";
      if (!option.choices.empty())
        values += fmt::format(" -f -a '{}'", fmt::join(option.choices, " "));
      text +=
          fmt::format("complete -c sagbench -n '__fish_seen_subcommand_from {}' -l {}{} -d '{}'\n",
                      command.name, option.name.substr(2), values, quoted(option.meaning, "\\"));
    }
  }
  return text;
}

}  // namespace

std::string completion(const std::vector<CommandWords>& commands, const std::string& shell) {
  if (shell == "bash") return bash(commands);
  return shell == "zsh" ? zsh(commands) : fish(commands);
}

}  // namespace sagbench::bench
