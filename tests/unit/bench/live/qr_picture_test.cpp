#include "bench/live/qr_picture.hpp"

#include "catch.hpp"

using namespace sagbench::live;

namespace {

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
    ++found;
  return found;
}

}  // namespace

TEST_CASE("an address becomes a picture that fits 80 columns, its colours stated") {
  const std::string picture =
      qr_picture("http://192.168.100.200:65535/#abcdefghijklmnopqrstuvwxyz");
  const std::size_t lines = count(picture, "\n");
  CHECK(lines >= 15);
  CHECK(lines <= 24);
  CHECK(count(picture, "\x1b[38;5;16;48;5;231m") == lines);
  CHECK(count(picture, "\x1b[0m\n") == lines);
  // Four rows of nothing but light above.
  const std::string first = picture.substr(0, picture.find('\n'));
  CHECK(first.find("\u2588") == std::string::npos);
  CHECK(first.size() <= 80 + 25);
}

TEST_CASE("what is too long for a code gives no picture") {
  CHECK(qr_picture(std::string(5000, 'a')).empty());
}
