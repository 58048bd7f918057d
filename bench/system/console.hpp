#pragma once
// Words to the person while a pack may be under load. A terminal that is gone, or that takes
// nothing any more (Ctrl-S, a dead remote line, a full pipe), must neither throw nor hold up the
// program that watches the pack: what does not fit is dropped.

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::bench {

class Console {
 public:
  /// Has a way of its own to what `descriptor` leads to, so that "never wait" is not forced on the
  /// shell that shares it.
  explicit Console(int descriptor) noexcept;
  ~Console();
  Console(const Console&) = delete;
  Console& operator=(const Console&) = delete;

  void say(std::string_view text) noexcept;

  /// A terminal that can move its cursor.
  bool keeps_lines_below() const noexcept;
  /// From now on these lines, each cut to the terminal's width, stay below whatever is said and
  /// replace those before; none: they go. Precondition: keeps_lines_below(), and the cursor at the
  /// beginning of a line. The lines are printable UTF-8.
  void keep_below(std::vector<std::string> lines) noexcept;
  /// The same as say(), and what the person types stands below it: the lines are away until
  /// answered().
  void ask(std::string_view question) noexcept;
  void answered() noexcept;

 private:
  void put(std::string_view text) const noexcept;
  void erase_below() noexcept;
  void draw_below() noexcept;
  std::size_t columns() const noexcept;

  class Way;  // never waits
  std::shared_ptr<Way> way_;
  int given_;
  bool asking_ = false;
  std::vector<std::string> below_;
  std::vector<std::size_t> drawn_;  // columns of each line that stands there
};

/// Of stderr.
Console& console() noexcept;
/// Says it on stderr.
void say(std::string_view text) noexcept;

}  // namespace sagbench::bench
