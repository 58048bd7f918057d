#include "bench/live/listen_address.hpp"

#include "bench/files/input_error.hpp"
#include "catch.hpp"

using namespace sagbench::live;

namespace {

std::string heard(const std::string& text) {
  const ListenAddress address = parse_listen_address("--live", text);
  return host_text(address.address, address.port);
}

std::string fault(const std::string& text) {
  try {
    parse_listen_address("--live", text);
  } catch (const sagbench::bench::InputError& error) {
    return error.what();
  }
  return "";
}

}  // namespace

TEST_CASE("an address and a port are read as they are written") {
  CHECK(heard("127.0.0.1:8073") == "127.0.0.1:8073");
  CHECK(heard("localhost:1") == "127.0.0.1:1");
  CHECK(heard("0.0.0.0:65535") == "0.0.0.0:65535");
  CHECK(heard("[::1]:8073") == "[::1]:8073");
  CHECK(heard("[::]:0") == "[::]:0");
  CHECK(heard("192.168.1.7:80") == "192.168.1.7:80");
}

TEST_CASE("what is no address with a port is refused in one line that names it") {
  for (const char* text : {"",
                           ":",
                           ":8073",
                           "8073",
                           "127.0.0.1",
                           "127.0.0.1:",
                           "127.0.0.1:65536",
                           "127.0.0.1:-1",
                           "127.0.0.1:8073 ",
                           " 127.0.0.1:8073",
                           "127.0.0.1:80x",
                           "127.0.0.1:+80",
                           "127.1:80",
                           "::1:8073",
                           "[::1]",
                           "[::1:8073",
                           "[]:8073",
                           "[127.0.0.1]:80",
                           "256.0.0.1:80",
                           "example.org:80",
                           "127.0.0.1:80:80",
                           "http://127.0.0.1:80"}) {
    CAPTURE(text);
    const std::string said = fault(text);
    CHECK(said.find("--live: \"" + std::string(text) + "\"") == 0);
    CHECK(said.find("127.0.0.1:8073") != std::string::npos);
    CHECK(said.find('\n') == std::string::npos);
  }
}

TEST_CASE("who is at this computer") {
  const auto is = [](const char* text) { return is_loopback(boost::asio::ip::make_address(text)); };
  CHECK(is("127.0.0.1"));
  CHECK(is("127.255.255.254"));
  CHECK(is("::1"));
  CHECK(is("::ffff:127.0.0.1"));
  CHECK_FALSE(is("126.255.255.255"));
  CHECK_FALSE(is("128.0.0.0"));
  CHECK_FALSE(is("::2"));
  CHECK_FALSE(is("::"));
  CHECK_FALSE(is("0.0.0.0"));
  CHECK_FALSE(is("::ffff:10.0.0.1"));
  CHECK_FALSE(is("::127.0.0.1"));
}
