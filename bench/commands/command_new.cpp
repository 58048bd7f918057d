// `sagbench new`: a pack, bench, radio, operation or plan file from plain questions, or from
// KEY=VALUE.

#include <fmt/format.h>

#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <iostream>

#include "bench/commands/commands.hpp"
#include "bench/files/input_error.hpp"
#include "bench/files/pretty_json.hpp"
#include "bench/forms/filling.hpp"
#include "bench/text/text_line.hpp"
#include "reports/atomic_file.hpp"

namespace sagbench::bench {
namespace {

constexpr std::size_t kColumns = 80;

Place place_of(const std::string& out) {
  std::error_code ignored;
  if (std::filesystem::exists(out, ignored))
    throw InputError(fmt::format("{}: is there already; name another file with --out", out));
  return {out, std::filesystem::path(out).parent_path().string()};
}

void ask(const Filling& filling, const Question& question) {
  std::string text = "\n" + wrapped(question.asks, kColumns, 0) + "\n";
  const auto usual = filling.usual_of(question);
  std::string enter = question.required ? "" : " (Enter leaves it out)";
  if (usual) {
    const std::string value =
        usual->value.is_string() ? usual->value.get<std::string>() : usual->value.dump();
    text += wrapped(fmt::format("  Enter for {}: {}", value, usual->why), kColumns, 2) + "\n";
    enter = question.required ? "" : " (- leaves it out)";
  }
  fmt::print(stderr, "{}{}{}: ", text, question.key, enter);
}

/// A person may try again; whoever sends the answers by a pipe gets the fault.
void answer_from(std::istream& in, Filling& filling, const Question& question, bool again) {
  std::string words;
  while (std::getline(in, words)) {
    try {
      return filling.answer(question, words);
    } catch (const InputError& fault) {
      if (!again) throw;
      fmt::print(stderr, "{}\n{}: ", wrapped(fault.what(), kColumns, 0), question.key);
    }
  }
}

/// Nothing is written yet: there is no more to do than to go.
void leave(int) {
  constexpr int kStoppedByOperator = 5;
  std::_Exit(kStoppedByOperator);
}

/// What is left when the answers end has its usual values, as with KEY=VALUE.
void fill_by_asking(Filling& filling, bool again) {
  std::signal(SIGINT, leave);
  fmt::print(stderr, "Enter takes what is proposed. Ctrl-C: nothing is written.\n");
  while (const Question* question = filling.next()) {
    ask(filling, *question);
    answer_from(std::cin, filling, *question, again);
    if (!std::cin) break;
  }
  fmt::print(stderr, "\n");
}

/// Each reason for a usual value once, below the table, by a letter.
class Reasons {
 public:
  std::string letter_of(const std::string& why) {
    if (why.empty()) return "";
    auto at = std::ranges::find(all_, why);
    if (at == all_.end()) at = all_.insert(all_.end(), why);
    return fmt::format("  ({})", letter(static_cast<std::size_t>(at - all_.begin())));
  }
  void print() const {
    if (!all_.empty()) fmt::print("\n");
    for (std::size_t i = 0; i < all_.size(); ++i)
      fmt::print("{}\n", wrapped(fmt::format("  ({}) {}", letter(i), all_[i]), kColumns, 6));
  }

 private:
  static char letter(std::size_t place) { return static_cast<char>('a' + place); }
  std::vector<std::string> all_;
};

void print_rows(const Filling& filling) {
  std::size_t longest = 0;
  const auto rows = filling.rows();
  for (const auto& row : rows) longest = std::max(longest, row.key.size());
  Reasons reasons;
  for (const auto& [key, value, why] : rows)
    fmt::print("  {:{}}  {}{}\n", key, longest, value, reasons.letter_of(why));
  reasons.print();
}

/// With the file as it is called, not as it would be without --out.
std::string next_step(const Form& form, const std::string& out) {
  std::string next = form.next;
  const std::string usual = form.kind + ".json";
  const auto at = next.find(usual);
  if (at == std::string::npos) return next;
  const bool whole = out.find(' ') == std::string::npos;
  return next.replace(at, usual.size(), whole ? out : '"' + out + '"');
}

void tell_what_is_in_it(const Filling& filling, const Form& form, const std::string& out) {
  fmt::print("{} is written.\n\n", out);
  print_rows(filling);
  if (const auto left = filling.left_out(); !left.empty()) {
    fmt::print("\nNot in it, and may be, by KEY=VALUE or by hand:\n\n");
    for (const Question* question : left)
      fmt::print("{}\n", wrapped("  " + question->key + ": " + question->asks, kColumns, 6));
  }
  fmt::print("\nNext: {}\n", next_step(form, out));
}

}  // namespace

int command_new(const NewOptions& options) {
  const std::string out = options.out.empty() ? options.kind + ".json" : options.out;
  const Form form = form_of(options.kind);
  Filling filling(form, place_of(out));
  if (options.told.empty())
    fill_by_asking(filling, options.at_terminal);
  else
    filling.tell(options.told);
  reports::write_file_whole(out, pretty_json(filling.file()));
  tell_what_is_in_it(filling, form, out);
  return 0;
}

}  // namespace sagbench::bench
