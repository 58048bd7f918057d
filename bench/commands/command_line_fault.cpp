#include "bench/commands/command_line_fault.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/Option.hpp>
#include <algorithm>
#include <cctype>
#include <string_view>
#include <vector>

#include "bench/commands/command_words.hpp"

namespace sagbench::bench {
namespace {

bool ends_a_name(const std::string& text, std::size_t at) {
  return at >= text.size() ||
         (std::isalnum(static_cast<unsigned char>(text[at])) == 0 && text[at] != '-');
}

/// Where the parser's text names it; npos: it does not.
std::size_t place_of(const std::string& text, const CLI::Option& option) {
  const std::string name = option.get_name();
  for (auto at = text.find(name); at != std::string::npos; at = text.find(name, at + 1))
    if ((at == 0 || ends_a_name(text, at - 1)) && ends_a_name(text, at + name.size())) return at;
  return std::string::npos;
}

/// The option that the parser's text names first. None is named where the command has one too much.
const CLI::Option& option_in(const std::string& text, const CLI::App& command) {
  const auto options = command.get_options();
  return **std::min_element(options.begin(), options.end(), [&](const auto* a, const auto* b) {
    return place_of(text, *a) < place_of(text, *b);
  });
}

std::string accepted(const CLI::Option& option) {
  const std::string type = option.get_type_name();
  const auto is = [&](std::string_view kind) { return type.rfind(kind, 0) == 0; };
  const char* number = is("UINT")    ? "a whole number, without a sign: "
                       : is("INT")   ? "a whole number: "
                       : is("FLOAT") ? "a number: "
                                     : "";
  return number + option.get_description();
}

std::string fault_of_option(const CLI::Option& option, const CLI::ParseError& error) {
  const std::string name = option.get_name();
  const auto& given = option.results();
  if (dynamic_cast<const CLI::RequiresError*>(&error) != nullptr)
    return fmt::format("{} goes only with {}", name, (*option.get_needs().begin())->get_name());
  if (dynamic_cast<const CLI::RequiredError*>(&error) != nullptr)
    return fmt::format("{} is missing; {}", name, accepted(option));
  if (dynamic_cast<const CLI::ArgumentMismatch*>(&error) == nullptr)
    return fmt::format("{}: \"{}\" is not accepted; {}", name, fmt::join(given, " "),
                       accepted(option));
  if (given.size() > 1)
    return fmt::format("{}: given {} times; it is accepted once", name, given.size());
  return fmt::format("{}: its value is missing; {}", name, accepted(option));
}

std::string no_command(const CLI::App& app) {
  std::vector<std::string> words;
  for (const auto& command : words_of(app)) words.push_back(command.name);
  return fmt::format("no command is given; one of {}", fmt::join(words, ", "));
}

}  // namespace

std::string fault_of(const CLI::App& app, const CLI::ParseError& error) {
  const auto chosen = app.get_subcommands();
  if (chosen.empty()) return no_command(app);
  const CLI::App& command = *chosen.front();
  if (dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr)
    return fmt::format("{0}: \"{1}\" is not expected; sagbench {0} --help tells what is",
                       command.get_name(), fmt::join(command.remaining(), " "));
  return fmt::format("{}: {}", command.get_name(),
                     fault_of_option(option_in(error.what(), command), error));
}

}  // namespace sagbench::bench
