// Transports over a real loopback socket, on the real clock.

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>
#include <memory>
#include <optional>
#include <string>
#include <utility>

#include "all_bytes.hpp"
#include "catch.hpp"
#include "drivers/transport.hpp"
#include "real_time.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {
namespace {

namespace asio = boost::asio;
using asio::ip::tcp;
using namespace std::chrono_literals;

/// The other end of a connection, blocking: what is written to a loopback socket is there at once.
struct Listener {
  explicit Listener(asio::io_context& io)
      : acceptor(io, tcp::endpoint(asio::ip::address_v4::loopback(), 0)), peer(io) {}
  std::string port() const {
    return "tcp:127.0.0.1:" + std::to_string(acceptor.local_endpoint().port());
  }
  std::string hear(std::size_t count) {
    std::string text(count, '\0');
    asio::read(peer, asio::buffer(text));
    return text;
  }

  tcp::acceptor acceptor;
  tcp::socket peer;
};

}  // namespace

TEST_CASE("bytes pass a TCP line unchanged both ways") {
  RealTime time;
  Listener listener(time.io);
  const auto line = time.make(listener.port());
  REQUIRE(time.open(*line));
  listener.acceptor.accept(listener.peer);
  REQUIRE(time.write(*line, kAllBytes));
  CHECK(listener.hear(kAllBytes.size()) == kAllBytes);
  asio::write(listener.peer, asio::buffer(kAllBytes));
  CHECK(time.read_all(*line, kAllBytes.size()) == kAllBytes);
  CHECK(line->name() == listener.port());
}

TEST_CASE("an interrupted read is a timeout and the line stays usable") {
  RealTime time;
  Listener listener(time.io);
  const auto line = time.make(listener.port());
  REQUIRE(time.open(*line));
  listener.acceptor.accept(listener.peer);
  line->interrupt();  // nobody waits: of no consequence
  std::string text;
  asio::post(time.io, [&] { asio::post(time.io, [&] { line->interrupt(); }); });
  const Time before = time.clock.now();
  const auto interrupted = time.read(*line, text);
  REQUIRE_FALSE(interrupted);
  CHECK(interrupted.error().kind == ErrorKind::timeout);
  CHECK(time.clock.now() - before < kPatience);
  asio::write(listener.peer, asio::buffer(std::string("late\n")));
  CHECK(time.read_all(*line, 5) == "late\n");
}

TEST_CASE("a silent TCP line times out by its deadline and stays usable") {
  RealTime time;
  Listener listener(time.io);
  const auto line = time.make(listener.port());
  REQUIRE(time.open(*line));
  listener.acceptor.accept(listener.peer);
  std::string text;
  const Time before = time.clock.now();
  const auto silent = time.read(*line, text, 20ms);
  REQUIRE_FALSE(silent);
  CHECK(silent.error().kind == ErrorKind::timeout);
  CHECK(time.clock.now() - before >= 20ms);
  asio::write(listener.peer, asio::buffer(std::string("late\n")));
  CHECK(time.read_all(*line, 5) == "late\n");
}

TEST_CASE("a TCP line that takes no more bytes times out too") {
  RealTime time;
  Listener listener(time.io);
  const auto line = time.make(listener.port());
  REQUIRE(time.open(*line));
  listener.acceptor.accept(listener.peer);
  const std::string flood(64U << 20U, 'x');  // more than both ends buffer
  const auto stuck = time.run(line->write(flood, time.clock.now() + 50ms));
  REQUIRE_FALSE(stuck);
  CHECK(stuck.error().kind == ErrorKind::timeout);
}

TEST_CASE("the end of a TCP stream is a disconnection, and the line opens again") {
  RealTime time;
  Listener listener(time.io);
  const auto line = time.make(listener.port());
  REQUIRE(time.open(*line));
  listener.acceptor.accept(listener.peer);
  asio::write(listener.peer, asio::buffer(std::string("last\n")));
  listener.peer.close();
  std::string text = time.read_all(*line, 5);
  CHECK(text == "last\n");
  const auto ended = time.read(*line, text);
  REQUIRE_FALSE(ended);
  CHECK(ended.error().kind == ErrorKind::disconnected);
  CHECK(ended.error().message == listener.port() + ": closed by the other end");
  CHECK(time.read(*line, text).error().message == listener.port() + ": the line is not open");
  REQUIRE(time.open(*line));
  listener.acceptor.accept(listener.peer);
  REQUIRE(time.write(*line, "again"));
  CHECK(listener.hear(5) == "again");
}

TEST_CASE("a TCP port where nobody listens is a disconnection") {
  RealTime time;
  std::string port;
  {
    const Listener listener(time.io);
    port = listener.port();
  }
  const auto line = time.make(port);
  const auto opened = time.open(*line);
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::disconnected);
  CHECK(opened.error().message ==
        port + ": " + asio::error::make_error_code(asio::error::connection_refused).message());
}

TEST_CASE("what has arrived can be taken without waiting") {
  RealTime time;
  Listener listener(time.io);
  const auto line = time.make(listener.port());
  std::string text;
  line->take_arrived(text);
  CHECK(text.empty());
  REQUIRE(time.open(*line));
  listener.acceptor.accept(listener.peer);
  line->take_arrived(text);
  CHECK(text.empty());
  asio::write(listener.peer, asio::buffer(std::string("first\n")));
  asio::write(listener.peer, asio::buffer(std::string("second\n")));
  const Time give_up = time.clock.now() + kPatience;
  while (text.size() < 13 && time.clock.now() < give_up) line->take_arrived(text);
  CHECK(text == "first\nsecond\n");
}

TEST_CASE("a transport destroyed while a read waits ends it") {
  RealTime time;
  Listener listener(time.io);
  auto line = time.make(listener.port());
  REQUIRE(time.open(*line));
  std::string text;
  std::optional<Result<void>> outcome;
  asio::co_spawn(time.io, line->read(text, time.clock.now() + kPatience),
                 [&](std::exception_ptr, Result<void> result) { outcome = std::move(result); });
  SECTION("and the context runs on") {
    time.io.restart();
    time.io.poll();
    line.reset();
    time.io.run_for(kPatience);
    REQUIRE(outcome);
    CHECK(outcome->error().kind == ErrorKind::disconnected);
  }
  SECTION("or it ends with the context") {
    time.io.restart();
    time.io.poll();
  }
}

TEST_CASE("a port that is none is refused with what is accepted") {
  RealTime time;
  const auto* port = GENERATE("", "tcp", "tcp:", "tcp:host", "tcp:host:", "tcp::5025", "tcp:host:0",
                              "tcp:host:65536", "tcp:host:5025x", "tcp:[]:5025", "ttyUSB0", "COM");
  CAPTURE(port);
  const auto transport = make_transport(time.io.get_executor(), time.clock, port, 9600);
  REQUIRE_FALSE(transport);
  CHECK(transport.error().kind == ErrorKind::caller);
}

TEST_CASE("the real clock's alarm reaches its deadline or is rung") {
  RealTime time;
  const auto alarm = time.clock.make_alarm();
  const auto wait = [&]() -> asio::awaitable<Result<void>> {
    const Time deadline = time.clock.now() + 2ms;
    const bool reached = co_await alarm->until(deadline);
    CHECK(reached);
    CHECK(time.clock.now() >= deadline);
    const bool reached_past = co_await alarm->until(Time{0});
    CHECK(reached_past);
    asio::post(time.io, [&] { alarm->ring(); });
    const bool reached_far = co_await alarm->until(Time::max());
    CHECK_FALSE(reached_far);
    co_return Result<void>{};
  };
  CHECK(time.run(wait()));
}

}  // namespace sagbench::drivers::test
