#pragma once
// What the person at the terminal types while the event loop runs.

#include <boost/asio/io_context.hpp>
#include <memory>

namespace sagbench::bench {

enum class Key { none, enter, gone };

/// Listens to stdin, a terminal, as long as it lives. What was typed before is no answer to a
/// question that comes now: it is thrown away. Nothing waits, and the terminal stays as it was for
/// the shell.
class Keyboard {
 public:
  explicit Keyboard(boost::asio::io_context& io);
  ~Keyboard();
  Keyboard(const Keyboard&) = delete;
  Keyboard& operator=(const Keyboard&) = delete;

  /// `gone`: the terminal tells nothing any more.
  Key key() const noexcept;

 private:
  struct Ear;
  std::shared_ptr<Ear> ear_;
};

}  // namespace sagbench::bench
