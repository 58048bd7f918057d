#include "drivers/scpi_framing.hpp"

#include <algorithm>

#include "drivers/quotes.hpp"

namespace sagbench::drivers {
namespace {

constexpr bool is_digit(char c) noexcept {
  return c >= '0' && c <= '9';
}

constexpr bool is_blank(char c) noexcept {
  return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

}  // namespace

BlockStart block_start(std::string_view text) noexcept {
  if (text.empty() || text[0] != '#') return {};
  if (text.size() == 1) return {BlockStart::Kind::unfinished, 0, 0};
  if (!is_digit(text[1]) || text[1] == '0') return {};
  const auto digits = static_cast<std::size_t>(text[1] - '0');
  const std::size_t header = 2 + digits;
  std::size_t bytes = 0;  // nine digits at most
  for (std::size_t i = 2; i < std::min(header, text.size()); ++i) {
    if (!is_digit(text[i])) return {};
    bytes = 10 * bytes + static_cast<std::size_t>(text[i] - '0');
  }
  if (text.size() < header) return {BlockStart::Kind::unfinished, 0, 0};
  return {BlockStart::Kind::whole, header, bytes};
}

std::optional<Frame> first_frame(std::string_view received, LineEnd line_end) noexcept {
  const char ends = line_end == LineEnd::lf ? '\n' : '\r';
  Frame frame;
  bool begun = false;          // something other than a blank has come
  bool broken = false;         // half a line end has come after it
  bool element_begins = true;  // only there a block can begin
  char quote = '\0';           // inside of a text: what ends it
  for (std::size_t at = 0; at < received.size(); ++at) {
    const char c = received[at];
    if (c == ends) {
      if (!begun) frame.begin = frame.end = at;
      frame.next = at + 1;
      return frame;
    }
    if (is_blank(c)) {
      broken = broken || (begun && c != ' ' && c != '\t');
      continue;
    }
    if (!begun) frame.begin = at;
    begun = true;
    if (broken) frame.is_text = false;
    const BlockStart block = element_begins ? block_start(received.substr(at)) : BlockStart{};
    if (block.kind == BlockStart::Kind::unfinished) return std::nullopt;
    if (block.kind == BlockStart::Kind::whole) {
      const std::size_t length = block.header + block.bytes;
      if (length > received.size() - at) return std::nullopt;
      at += length - 1;
    } else {
      frame.is_text = frame.is_text && is_printable({&c, 1});
    }
    if (quote != '\0') {
      if (c == quote) quote = '\0';
    } else if (c == '"' || c == '\'') {
      quote = c;
    }
    element_begins = quote == '\0' && (c == ',' || c == ';');
    frame.end = at + 1;
  }
  return std::nullopt;
}

}  // namespace sagbench::drivers
