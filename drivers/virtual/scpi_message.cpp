#include "drivers/virtual/scpi_message.hpp"

#include "drivers/virtual/scpi_fault.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

bool is_space(char c) {
  return c == ' ' || c == '\t' || c == '\r';
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
  return text;
}

/// Knows whether the characters seen so far leave a quote or a parenthesis open.
class Nesting {
 public:
  void see(char c) {
    if (quote_ != '\0') {
      if (c == quote_) quote_ = '\0';
    } else if (c == '"' || c == '\'') {
      quote_ = c;
    } else if (c == '(') {
      ++depth_;
    } else if (c == ')') {
      --depth_;
    }
  }
  bool flat() const { return quote_ == '\0' && depth_ == 0; }

 private:
  char quote_ = '\0';
  int depth_ = 0;
};

/// Takes text up to the separator off the front of `rest`, and the separator. False at the end,
/// when there was none.
bool take_until(std::string_view& rest, char separator, std::string_view& text) {
  Nesting nesting;
  for (std::size_t i = 0; i < rest.size(); ++i) {
    if (rest[i] == separator && nesting.flat()) {
      text = rest.substr(0, i);
      rest.remove_prefix(i + 1);
      return true;
    }
    nesting.see(rest[i]);
  }
  text = rest;
  rest = {};
  if (!nesting.flat()) throw ScpiFault{fault::kSyntaxError};
  return false;
}

void check_characters(std::string_view text) {
  for (const char c : text) {
    if ((c < ' ' && !is_space(c)) || c > '~') throw ScpiFault{fault::kInvalidCharacter};
  }
}

std::size_t header_length(std::string_view text) {
  std::size_t length = 0;
  while (length < text.size() && !is_space(text[length])) ++length;
  return length;
}

}  // namespace

void take_unit(std::string_view& rest, MessageUnit& unit) {
  unit.header = {};
  unit.parameters.clear();
  std::string_view text;
  take_until(rest, ';', text);
  text = trimmed(text);
  check_characters(text);
  unit.header = text.substr(0, header_length(text));
  text = trimmed(text.substr(unit.header.size()));
  if (text.empty()) return;
  std::string_view parameter;
  bool more = true;
  while (more) {
    more = take_until(text, ',', parameter);
    unit.parameters.push_back(trimmed(parameter));
  }
}

}  // namespace sagbench::drivers::virtual_bench
