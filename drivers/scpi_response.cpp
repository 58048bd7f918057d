#include "drivers/scpi_response.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>
#include <utility>

#include "drivers/quotes.hpp"
#include "drivers/scpi_framing.hpp"

namespace sagbench::drivers {
namespace {

constexpr std::string_view kBlanks = " \t\r\n";
constexpr std::string_view kNumberCharacters = "+-.0123456789Ee";

// Numbers that stand for something else, and how far from them an instrument that calculates in
// single precision (24 bits) may write them.
constexpr double kInfinity = 9.9e37;
constexpr double kNotANumber = 9.91e37;
constexpr double kSinglePrecision = 1e-6;

bool is_letter(char c) noexcept {
  return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
}

bool is_digit(char c) noexcept {
  return c >= '0' && c <= '9';
}

Error senseless(std::string_view message, const std::string& why) {
  return Error{ErrorKind::protocol, in_quotes(message) + " " + why};
}

std::string_view without_blanks(std::string_view text) {
  const std::size_t first = text.find_first_not_of(kBlanks);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(kBlanks) - first + 1);
}

struct Decimal {
  std::errc failure{};
  double value = 0.0;
};

/// All of `digits` must be the number.
Decimal decimal(std::string_view digits) {
  constexpr Decimal kNone{std::errc::invalid_argument, 0.0};
  const bool has_plus = digits.starts_with('+');
  if (has_plus) digits.remove_prefix(1);
  // from_chars also knows "inf" and "nan", and a sign after our plus.
  const bool starts_well = !digits.empty() && !(has_plus && digits.front() == '-') &&
                           digits.find_first_not_of(kNumberCharacters) == std::string_view::npos;
  if (!starts_well) return kNone;
  double value = 0.0;
  const char* const end = digits.data() + digits.size();
  const auto [rest, failure] = std::from_chars(digits.data(), end, value);
  if (failure == std::errc::result_out_of_range) return {failure, 0.0};
  if (failure != std::errc() || rest != end) return kNone;
  return {std::errc(), value};
}

Element numeric_element(double value, std::string_view written) {
  const double size = std::abs(value);
  if (std::abs(value - kNotANumber) <= kSinglePrecision * kNotANumber) {
    return {ElementKind::not_a_number, std::numeric_limits<double>::quiet_NaN(), written};
  }
  if (size >= kInfinity * (1.0 - kSinglePrecision)) {
    return {ElementKind::infinity, std::copysign(std::numeric_limits<double>::infinity(), value),
            written};
  }
  return {ElementKind::number, value, written};
}

/// Reads one message from its front to its end. A step that fails leaves the reason in `why_`.
class ResponseParser {
 public:
  explicit ResponseParser(std::string_view message) : message_(message), rest_(message) {}

  Result<Response> parse() {
    Response response;
    response.units.emplace_back();
    for (std::size_t count = 1;; ++count) {
      if (count > kMostElements) return refused("has too many elements");
      skip_blanks();
      const std::optional<Element> element = next();
      if (!element) return refused(why_);
      response.units.back().push_back(*element);
      skip_blanks();
      if (rest_.empty()) return response;
      const char separator = rest_.front();
      if (separator != ',' && separator != ';') {
        return refused(fmt::format("goes on after {} without a comma or a semicolon",
                                   in_quotes(element->written)));
      }
      if (separator == ';') response.units.emplace_back();
      rest_.remove_prefix(1);
    }
  }

 private:
  Error refused(const std::string& why) const { return senseless(message_, why); }
  std::nullopt_t because(std::string why) {
    why_ = std::move(why);
    return std::nullopt;
  }
  void skip_blanks() {
    rest_.remove_prefix(std::min(rest_.find_first_not_of(kBlanks), rest_.size()));
  }
  std::string_view take(std::size_t count) {
    const std::string_view taken = rest_.substr(0, count);
    rest_.remove_prefix(taken.size());
    return taken;
  }
  std::string_view take_all_of(std::string_view characters) {
    return take(rest_.find_first_not_of(characters));
  }

  std::optional<Element> next() {
    if (rest_.empty()) return because("has an empty element");
    const char first = rest_.front();
    if (first == '"' || first == '\'') return text(first);
    if (first == '#') return after_hash();
    if (first == '(') return expression();
    if (is_letter(first)) return word();
    if (kNumberCharacters.find(first) != std::string_view::npos) return number();
    return because(first == ',' || first == ';' ? "has an empty element"
                                                : fmt::format("has an element that begins with {}",
                                                              in_quotes(rest_.substr(0, 1))));
  }

  std::optional<Element> number() {
    const std::string_view written = take_all_of(kNumberCharacters);
    const Decimal parsed = decimal(written);
    if (parsed.failure == std::errc::result_out_of_range) {
      return because(fmt::format("has {}, which is out of range", in_quotes(written)));
    }
    if (parsed.failure != std::errc()) {
      return because(fmt::format("has {}, which is not a number", in_quotes(written)));
    }
    return numeric_element(parsed.value, written);
  }

  std::optional<Element> word() {
    std::size_t length = 1;
    while (length < rest_.size() &&
           (is_letter(rest_[length]) || is_digit(rest_[length]) || rest_[length] == '_')) {
      ++length;
    }
    return Element{ElementKind::word, 0.0, take(length)};
  }

  std::optional<Element> text(char quote) {
    take(1);
    std::size_t end = rest_.find(quote);
    while (end != std::string_view::npos && end + 1 < rest_.size() && rest_[end + 1] == quote) {
      end = rest_.find(quote, end + 2);
    }
    if (end == std::string_view::npos) return because("has a quote that does not close");
    const Element element{ElementKind::text, 0.0, take(end)};
    take(1);
    return element;
  }

  std::optional<Element> expression() {
    int depth = 0;
    std::size_t length = 0;
    do {
      if (length == rest_.size()) return because("has a parenthesis that does not close");
      if (rest_[length] == '(') ++depth;
      if (rest_[length] == ')') --depth;
      ++length;
    } while (depth > 0);
    return Element{ElementKind::expression, 0.0, take(length)};
  }

  std::optional<Element> after_hash() {
    const char form = rest_.size() < 2 ? '\0' : rest_[1];
    switch (form) {
      case 'H':
      case 'h':
        return non_decimal(16);
      case 'Q':
      case 'q':
        return non_decimal(8);
      case 'B':
      case 'b':
        return non_decimal(2);
      case '0':
        take(2);
        return Element{ElementKind::block, 0.0, take(rest_.size())};
      default:
        break;
    }
    if (!is_digit(form)) return because("has \"#\" without a number or a block");
    return block();
  }

  std::optional<Element> non_decimal(int base) {
    constexpr std::uint64_t kExact = std::uint64_t{1} << 53U;  // a double holds all up to it
    std::uint64_t value = 0;
    const char* const first = rest_.data() + 2;
    const auto [end, failure] = std::from_chars(first, rest_.data() + rest_.size(), value, base);
    if (failure == std::errc::invalid_argument) return because("has \"#\" without a number");
    if (failure != std::errc() || value > kExact) return because("has a number out of range");
    const auto length = static_cast<std::size_t>(end - rest_.data());
    return Element{ElementKind::non_decimal, static_cast<double>(value), take(length)};
  }

  std::optional<Element> block() {
    const BlockStart start = block_start(rest_);
    if (start.kind != BlockStart::Kind::whole) {
      return because("has a block whose length is not said");
    }
    take(start.header);
    if (start.bytes > rest_.size()) {
      return because(fmt::format("has a block cut short: {} bytes announced, {} there", start.bytes,
                                 rest_.size()));
    }
    return Element{ElementKind::block, 0.0, take(start.bytes)};
  }

  std::string_view message_;
  std::string_view rest_;
  std::string why_;
};

const char* why_no_number(ElementKind kind) {
  switch (kind) {
    case ElementKind::infinity:
      return "means \"over range\"";
    case ElementKind::not_a_number:
      return "means \"not a number\"";
    case ElementKind::number:
    case ElementKind::non_decimal:
    case ElementKind::text:
    case ElementKind::block:
    case ElementKind::word:
    case ElementKind::expression:
      break;
  }
  return "is not a number";
}

}  // namespace

Result<Response> parse_response(std::string_view message) {
  return ResponseParser(message).parse();
}

std::string text_of(const Element& text) {
  std::string plain;
  plain.reserve(text.written.size());
  for (std::size_t i = 0; i < text.written.size(); ++i) {
    const char c = text.written[i];
    plain += c;
    const bool is_quote = c == '"' || c == '\'';
    if (is_quote && i + 1 < text.written.size() && text.written[i + 1] == c) ++i;
  }
  return plain;
}

Result<double> parse_number(std::string_view answer) {
  const std::string_view written = without_blanks(answer);
  const Decimal parsed = decimal(written);
  if (parsed.failure == std::errc::result_out_of_range) {
    return senseless(answer, "is out of range");
  }
  if (parsed.failure != std::errc()) return senseless(answer, "is not a number");
  const Element element = numeric_element(parsed.value, written);
  if (element.kind == ElementKind::number) return element.value;
  return senseless(answer, why_no_number(element.kind));
}

Result<std::vector<double>> parse_numbers(std::string_view answer) {
  const Result<Response> response = parse_response(answer);
  if (!response) return response.error();
  std::vector<double> numbers;
  for (const auto& unit : response->units) {
    for (const Element& element : unit) {
      if (element.kind != ElementKind::number) {
        return senseless(answer, fmt::format("holds {}, which {}", in_quotes(element.written),
                                             why_no_number(element.kind)));
      }
      numbers.push_back(element.value);
    }
  }
  return numbers;
}

}  // namespace sagbench::drivers
