#include <fmt/format.h>

#include <string_view>

#include "bench/commands/command_words.hpp"

namespace sagbench::bench {
namespace {

/// Text that roff leaves as it is: its own signs escaped, no line that begins like a request.
std::string plain(std::string_view text) {
  std::string result;
  for (const char c : text) {
    if (c == '\\')
      result += "\\e";
    else if (c == '-')
      result += "\\-";
    else if (c == '\'')
      result += "\\(aq";
    else
      result += c;
  }
  if (!result.empty() && result.front() == '.') result.insert(0, "\\&");
  return result;
}

std::string operand(const OptionWords& words) {
  const std::string name = fmt::format("\\fI{}\\fR", plain(words.name));
  return words.required ? name : "[" + name + "]";
}

std::string value_of(const OptionWords& option) {
  if (!option.takes_value) return "";
  if (option.choices.empty()) return " \\fIVALUE\\fR";
  std::string text;
  for (const std::string& choice : option.choices)
    text += (text.empty() ? " " : "|") + plain(choice);
  return text;
}

std::string option_text(const OptionWords& option) {
  return fmt::format(".TP\n\\fB{}\\fR{}\n{}{}\n", plain(option.name), value_of(option),
                     plain(option.meaning), option.required ? " (needed)" : "");
}

std::string command_text(const CommandWords& command) {
  std::string text = fmt::format(".SS sagbench {}", plain(command.name));
  for (const OptionWords& words : command.operands) text += " " + operand(words);
  text += "\n" + plain(command.meaning) + ".\n";
  for (const OptionWords& words : command.operands)
    text += fmt::format(".TP\n\\fI{}\\fR\n{}\n", plain(words.name), plain(words.meaning));
  for (const OptionWords& option : command.options) text += option_text(option);
  return text;
}

constexpr const char* kAbout = R"(.SH DESCRIPTION
A programmable electronic load draws from a battery pack what a radio would, a meter watches, and the
program keeps the pack safe, records every sample, and tells capacity, energy, resistance and sag with their
uncertainties. Without instruments \(dqvirtual\(dq as a port serves a simulated pack.
.SH CAUTIONS
A pack can drive hundreds of amperes through a ring or a spanner: fuse it, cover its terminals.
All of its energy becomes heat in the load: keep its vents free, nothing that burns near it.
Lithium cells that are overheated, overcharged, deeply discharged or damaged can vent and burn; lead\-acid
batteries give off hydrogen. The program switches the load off, but it cannot pull a lead: stay beside a run.
Local codes, makers\(aq data sheets and licensed practice come before anything that it prints.
.SH COMMANDS
)";

constexpr const char* kExit = R"(.SH EXIT STATUS
.TP
0
done
.TP
1
a defect of the program
.TP
2
your input is at fault; the message names file, key, value and what would be accepted
.TP
3
a safety limit ended the run
.TP
4
an instrument or the line to it failed
.TP
5
stopped by the operator
)";

}  // namespace

std::string man_page(const std::vector<CommandWords>& commands, const std::string& software) {
  std::string text = fmt::format(
      ".TH SAGBENCH 1 \"\" \"{}\" \"User Commands\"\n.SH NAME\nsagbench \\- measures battery packs "
      "the way a radio uses them\n.SH SYNOPSIS\n\\fBsagbench\\fR \\fICOMMAND\\fR "
      "[\\fIOPTIONS\\fR]\n{}",
      plain(software), kAbout);
  for (const CommandWords& command : commands) text += command_text(command);
  return text + kExit;
}

}  // namespace sagbench::bench
