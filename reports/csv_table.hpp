#pragma once
// The form of a CSV file, apart from its meaning: lines, separators, quotes. RFC 4180, and what
// loggers make of it.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::reports {

/// ',' or ';' or tab: whichever the line holds most of outside quotes.
char detect_separator(std::string_view header_line) noexcept;

/// The fields of one line, blanks and quotes around them taken off, "" inside quotes for one quote.
/// Replaces `fields`, whose memory serves again. False when a quote is not closed or is followed by
/// text.
bool split_fields(std::string_view line, char separator, std::vector<std::string>& fields);

/// The finite number that is all of the field; absent where it is none.
std::optional<double> number_in(std::string_view field) noexcept;

/// Walks through a text line by line; LF, CR LF and CR end a line.
class LineReader {
 public:
  explicit LineReader(std::string_view text) noexcept : rest_(text) {}
  /// The next line that is not blank. False at the end.
  bool next(std::string_view& line) noexcept;
  /// Of the line last given, from 1, blank ones counted.
  std::size_t number() const noexcept { return number_; }

 private:
  std::string_view rest_;
  std::size_t number_ = 0;
};

}  // namespace sagbench::reports
