#include "drivers/dialect_words.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kGap = "{}";

std::size_t count_gaps(std::string_view words) noexcept {
  std::size_t count = 0;
  for (std::size_t at = words.find(kGap); at != std::string_view::npos;
       at = words.find(kGap, at + kGap.size())) {
    ++count;
  }
  return count;
}

std::string_view without_blanks(std::string_view text) noexcept {
  const std::size_t first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

char lower(char c) noexcept {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

std::string_view gap_name(OperationForm form) noexcept {
  switch (form) {
    case OperationForm::setting_of_number:
      return "the number";
    case OperationForm::setting_of_numbers:
      return "the numbers";
    case OperationForm::channel_query:
      return "the channel";
    default:
      return "the channels";
  }
}

}  // namespace

bool is_plain_text(std::string_view text) noexcept {
  return is_printable(text) && text.find_first_not_of(" \t") != std::string_view::npos;
}

bool are_words(OperationForm form, std::string_view words) noexcept {
  return is_plain_text(words) && count_gaps(words) == (has_gap(form) ? 1U : 0U) &&
         (words.find('?') != std::string_view::npos) == is_query(form);
}

std::string words_wanted(OperationForm form) {
  return fmt::format("a {} in plain ASCII on one line, with {}",
                     is_query(form) ? "query (with a ?)" : "setting (without a ?)",
                     has_gap(form) ? fmt::format("one {{}} for {}", gap_name(form)) : "no {}");
}

bool same_words(std::string_view a, std::string_view b) noexcept {
  a = without_blanks(a);
  b = without_blanks(b);
  return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                    [](char x, char y) { return lower(x) == lower(y); });
}

bool holds_unit(std::string_view message, std::string_view unit) noexcept {
  const auto bare = [](std::string_view text) {
    text = without_blanks(text);
    if (text.starts_with(':')) text.remove_prefix(1);
    return text;
  };
  for (;;) {
    const std::size_t end = message.find(';');
    if (same_words(bare(message.substr(0, end)), bare(unit))) return true;
    if (end == std::string_view::npos) return false;
    message.remove_prefix(end + 1);
  }
}

}  // namespace sagbench::drivers
