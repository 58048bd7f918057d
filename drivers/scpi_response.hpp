#pragma once
// What an instrument answers, taken apart: response messages of IEEE 488.2 chapter 8, with the
// special numbers of SCPI-1999. Pure: bytes in, values out, in time proportional to the bytes.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/result.hpp"

namespace sagbench::drivers {

/// The kinds of response data, by section of IEEE 488.2.
enum class ElementKind {
  number,        // NR1, NR2, NR3 (8.7.2 to 8.7.4)
  infinity,      // +-9.9E37 (SCPI-1999 Vol. 1, 7.2.1.4): over range
  not_a_number,  // 9.91E37 (SCPI-1999 Vol. 1, 7.2.1.5)
  non_decimal,   // #H, #Q, #B (8.7.5 to 8.7.7)
  text,          // in quotes (8.7.8)
  block,         // #15.....: any bytes (8.7.9, 8.7.10)
  word,          // ON, CURR (8.7.1)
  expression,    // (@101:104) (8.7.12)
};

struct Element {
  ElementKind kind = ElementKind::word;
  /// Finite for `number` and `non_decimal`, infinite for `infinity`, NaN for `not_a_number`, else
  /// 0.
  double value = 0.0;
  /// A view into the message: what stands between the quotes of a `text` (inner quotes still
  /// doubled), the bytes of a `block`, anything else as it was written.
  std::string_view written;
};

/// Units, which ';' separates, of elements, which ',' separates. No unit and no element is empty.
/// The message must outlive it.
struct Response {
  std::vector<std::vector<Element>> units;
};

/// More elements are an error.
inline constexpr std::size_t kMostElements = 4096;

/// `message` comes without its terminator. Forgives what instruments are known to add: blanks
/// around elements, "5." and ".5", small letters. A block of indefinite length ("#0") reaches to
/// the end. Anything else is a `protocol` error that quotes the message: what an instrument
/// identifies itself with (8.7.11, arbitrary ASCII) is not taken apart.
Result<Response> parse_response(std::string_view message);

/// What a `text` says: its doubled quotes made single.
std::string text_of(const Element& text);

/// Parses one decimal number. 9.9E37 (over range), 9.91E37 (not a number), text and trailing
/// rubbish are `protocol` errors: never a number.
Result<double> parse_number(std::string_view answer);

/// All the numbers of a message in their order, whether ',' or ';' separates them. An element that
/// is no finite number is a `protocol` error that says which.
Result<std::vector<double>> parse_numbers(std::string_view answer);

}  // namespace sagbench::drivers
