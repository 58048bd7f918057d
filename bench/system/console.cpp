#include "bench/system/console.hpp"

#include <cstdio>
#include <exception>
#include <utility>

#include "bench/text/text_width.hpp"

namespace sagbench::bench {

/// What ends within a line is gone on with by the next words: the lines come back after those.
void Console::say(std::string_view text) noexcept {
  erase_below();
  put(text);
  if (!text.empty() && text.back() == '\n') draw_below();
}

void Console::keep_below(std::vector<std::string> lines) noexcept {
  erase_below();
  below_ = std::move(lines);
  draw_below();
}

void Console::ask(std::string_view question) noexcept {
  asking_ = true;
  say(question);
}

void Console::answered() noexcept {
  asking_ = false;
  draw_below();
}

/// The cursor stands at the end of the last of them. A window that has become narrower has broken
/// the long ones.
void Console::erase_below() noexcept {
  if (drawn_.empty()) return;
  const std::size_t wide = columns();
  std::size_t rows = 0;
  for (const std::size_t used : drawn_) rows += used == 0 ? 1 : (used - 1) / wide + 1;
  char up[32];
  if (rows > 1) {
    std::snprintf(up, sizeof up, "\x1b[%zuA", rows - 1);
    put(up);
  }
  put("\r\x1b[J");
  drawn_.clear();
}

void Console::draw_below() noexcept {
  if (asking_ || below_.empty()) return;
  try {
    const std::size_t most = columns() - 1;
    std::string text;
    std::vector<std::size_t> drawn;
    for (const std::string& line : below_) {
      const std::string fitting = fitted(line, most);
      text += drawn.empty() ? "" : "\n";
      text += fitting;
      drawn.push_back(text_width(fitting));
    }
    drawn_ = std::move(drawn);
    put(text);
  } catch (const std::exception&) {
    drawn_.clear();  // no memory for them: the words still come
  }
}

void say(std::string_view text) noexcept {
  console().say(text);
}

}  // namespace sagbench::bench
