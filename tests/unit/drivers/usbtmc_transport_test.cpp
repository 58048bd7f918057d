// USB test-and-measurement lines on stand-ins: a socket that keeps message boundaries, and devices
// that do what a test says. Hardware was not at hand.

#include "drivers/usbtmc_transport.hpp"

#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include <array>
#include <boost/asio/detached.hpp>
#include <cerrno>
#include <condition_variable>
#include <mutex>
#include <thread>

#include "catch.hpp"
#include "drivers/scpi_session.hpp"
#include "real_time.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {
namespace {

using namespace std::chrono_literals;

constexpr std::size_t kMostOfRead = 4095;

/// Both ends of a socket whose reads return one message each, as the driver's do. Its own end gives
/// up reading after 100 ms, the shortest the driver has.
struct Pair {
  Pair() {
    std::array<int, 2> ends{};
    REQUIRE(::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends.data()) == 0);
    ours = ends[0];
    instrument = ends[1];
    const timeval patience{0, 100'000};
    REQUIRE(::setsockopt(ours, SOL_SOCKET, SO_RCVTIMEO, &patience, sizeof patience) == 0);
  }
  ~Pair() {
    if (ours >= 0) ::close(ours);
    ::close(instrument);
  }
  Pair(const Pair&) = delete;
  Pair& operator=(const Pair&) = delete;

  UsbtmcTransport::Opener opener() {
    return [this] {
      return Result<std::unique_ptr<UsbtmcDevice>>(usbtmc_on(std::exchange(ours, -1)));
    };
  }
  void says(const std::string& message) const {
    REQUIRE(::send(instrument, message.data(), message.size(), 0) ==
            static_cast<ssize_t>(message.size()));
  }
  std::string hears() const {
    std::array<char, 8192> room{};
    const ssize_t count = ::recv(instrument, room.data(), room.size(), 0);
    REQUIRE(count >= 0);
    return {room.data(), static_cast<std::size_t>(count)};
  }

  int ours = -1;
  int instrument = -1;
};

/// What a device does and was asked for; outlives it.
struct Behaviour {
  std::mutex mutex;
  std::condition_variable changed;
  int error = 0;        // of reads
  bool stuck = false;   // reads do not come back
  bool clears = false;  // knows the message for it
  int reads = 0;
  int clearings = 0;
  std::string answer;
};

class ScriptedDevice final : public UsbtmcDevice {
 public:
  explicit ScriptedDevice(std::shared_ptr<Behaviour> behaviour)
      : behaviour_(std::move(behaviour)) {}

  UsbtmcTransfer write(std::string_view message, Duration) override {
    const std::lock_guard lock(behaviour_->mutex);
    if (message == "*IDN?\n") behaviour_->answer = "QBENCH,LOAD,0,1.0\n";
    UsbtmcTransfer transfer;
    transfer.count = message.size();
    return transfer;
  }
  UsbtmcTransfer read(std::size_t, Duration within) override {
    std::unique_lock lock(behaviour_->mutex);
    ++behaviour_->reads;
    UsbtmcTransfer transfer;
    transfer.error = behaviour_->error;
    transfer.bytes = std::exchange(behaviour_->answer, {});
    transfer.ends_message = true;
    if (!transfer.bytes.empty() || transfer.error != 0) return transfer;
    transfer.error = ETIMEDOUT;
    const auto let_go = [this] { return !behaviour_->stuck; };
    if (behaviour_->stuck) {
      behaviour_->changed.wait(lock, let_go);
    } else {
      lock.unlock();
      std::this_thread::sleep_for(within);
    }
    return transfer;
  }
  UsbtmcTransfer clear() override {
    const std::lock_guard lock(behaviour_->mutex);
    ++behaviour_->clearings;
    UsbtmcTransfer transfer;
    transfer.error = behaviour_->clears ? 0 : ENOTTY;
    return transfer;
  }

 private:
  std::shared_ptr<Behaviour> behaviour_;
};

UsbtmcTransport::Opener scripted(const std::shared_ptr<Behaviour>& behaviour) {
  return [behaviour] {
    return Result<std::unique_ptr<UsbtmcDevice>>(std::make_unique<ScriptedDevice>(behaviour));
  };
}

}  // namespace

TEST_CASE("each write is one message, each read one message or a part of it") {
  RealTime time;
  Pair pair;
  UsbtmcTransport line(time.io.get_executor(), time.clock, "usbtmc", pair.opener());
  REQUIRE(time.open(line));
  REQUIRE(time.write(line, "*IDN?\n"));
  REQUIRE(time.write(line, "MEAS:VOLT?\n"));
  CHECK(pair.hears() == "*IDN?\n");
  CHECK(pair.hears() == "MEAS:VOLT?\n");
  pair.says("13.2");
  pair.says("5.0\n");
  std::string text;
  REQUIRE(time.read(line, text));
  CHECK(text == "13.2\n");  // the end of the message, which the instrument did not mark
  text.clear();
  REQUIRE(time.read(line, text));
  CHECK(text == "5.0\n\n");
}

TEST_CASE("a message longer than a read comes in parts, and ends once") {
  RealTime time;
  Pair pair;
  UsbtmcTransport line(time.io.get_executor(), time.clock, "usbtmc", pair.opener());
  REQUIRE(time.open(line));
  pair.says(std::string(kMostOfRead, 'a'));
  pair.says(std::string(kMostOfRead, 'b'));
  pair.says("c");
  const std::string all =
      std::string(kMostOfRead, 'a') + std::string(kMostOfRead, 'b') + "c" + "\n";
  CHECK(time.read_all(line, all.size()) == all);
}

TEST_CASE("a silent instrument is a time-out, and is heard when it speaks again") {
  RealTime time;
  Pair pair;
  UsbtmcTransport line(time.io.get_executor(), time.clock, "usbtmc", pair.opener());
  REQUIRE(time.open(line));
  std::string text;
  const Time before = time.clock.now();
  const auto silent = time.read(line, text, 30ms);
  REQUIRE_FALSE(silent);
  CHECK(silent.error().kind == ErrorKind::timeout);
  CHECK(time.clock.now() - before >= 30ms);
  CHECK(time.clock.now() - before < 1s);
  pair.says("late\n");
  CHECK(time.read_all(line, 6) == "late\n\n");
}

TEST_CASE("the event loop goes on while the driver blocks") {
  RealTime time;
  const auto behaviour = std::make_shared<Behaviour>();
  UsbtmcTransport line(time.io.get_executor(), time.clock, "usbtmc", scripted(behaviour));
  REQUIRE(time.open(line));
  int ticks = 0;
  const auto alarm = time.clock.make_alarm();
  const auto tick = [&]() -> boost::asio::awaitable<void> {
    while (ticks < 10) {
      co_await alarm->until(time.clock.now() + 5ms);
      ++ticks;
    }
  };
  boost::asio::co_spawn(time.io, tick(), boost::asio::detached);
  std::string text;
  REQUIRE_FALSE(time.read(line, text, 200ms));
  CHECK(ticks == 10);
}

TEST_CASE("a pulled device is told from a silent one") {
  RealTime time;
  const auto behaviour = std::make_shared<Behaviour>();
  behaviour->error = GENERATE(ENODEV, ESHUTDOWN);
  UsbtmcTransport line(time.io.get_executor(), time.clock, "usbtmc", scripted(behaviour));
  REQUIRE(time.open(line));
  std::string text;
  const auto pulled = time.read(line, text);
  REQUIRE_FALSE(pulled);
  CHECK(pulled.error().kind == ErrorKind::disconnected);
  CHECK(pulled.error().message == "usbtmc: unplugged: the device is gone");
  CHECK(time.read(line, text).error().message == "usbtmc: the line is not open");
  behaviour->error = 0;
  CHECK(time.open(line));  // plugged in again
}

TEST_CASE("a transfer that went wrong closes the line") {
  RealTime time;
  const auto behaviour = std::make_shared<Behaviour>();
  behaviour->error = GENERATE(EPIPE, EPROTO, EIO);
  UsbtmcTransport line(time.io.get_executor(), time.clock, "usbtmc", scripted(behaviour));
  REQUIRE(time.open(line));
  std::string text;
  CHECK(time.read(line, text).error().kind == ErrorKind::disconnected);
}

TEST_CASE("a driver that does not come back holds up nobody") {
  RealTime time;
  const auto behaviour = std::make_shared<Behaviour>();
  behaviour->stuck = true;
  {
    UsbtmcTransport line(time.io.get_executor(), time.clock, "usbtmc", scripted(behaviour));
    REQUIRE(time.open(line));
    std::string text;
    const auto stuck = time.read(line, text, 20ms);
    REQUIRE_FALSE(stuck);
    CHECK(stuck.error().kind == ErrorKind::disconnected);
  }
  const std::lock_guard lock(behaviour->mutex);
  behaviour->stuck = false;
  behaviour->changed.notify_all();
}

TEST_CASE("a session gets back in step by clearing the instrument, not by reading in vain") {
  RealTime time;
  const auto behaviour = std::make_shared<Behaviour>();
  behaviour->clears = true;
  SessionOptions options;
  options.answer_within = 200ms;
  ScpiSession session(std::make_unique<UsbtmcTransport>(time.io.get_executor(), time.clock,
                                                        "usbtmc", scripted(behaviour)),
                      time.clock, options);
  REQUIRE(time.run(session.open()));
  CHECK(session.identity() == "QBENCH,LOAD,0,1.0");
  CHECK(behaviour->clearings == 1);
  CHECK(behaviour->reads == 1);
  const auto silent = [&]() -> boost::asio::awaitable<Result<void>> {
    const Result<Exchange> exchange = co_await session.query("SILENT?");
    if (exchange) co_return Result<void>{};
    co_return exchange.error();
  };
  CHECK(time.run(silent()).error().kind == ErrorKind::timeout);
  CHECK(behaviour->reads == 2);
  CHECK(time.run(silent()).error().kind == ErrorKind::timeout);
  CHECK(behaviour->clearings == 2);
  CHECK(behaviour->reads == 4);  // the identity, and the answer that does not come
}

// IEEE 488.2, 8.7.9: a block may end in any byte; on this bus the message ends with it.
TEST_CASE("a block that nothing ends but the bus is read whole") {
  RealTime time;
  Pair pair;
  ScpiSession session(std::make_unique<UsbtmcTransport>(time.io.get_executor(), time.clock,
                                                        "usbtmc", pair.opener()),
                      time.clock);
  std::string answer;
  const auto ask = [&]() -> boost::asio::awaitable<Result<void>> {
    const Result<Exchange> exchange = co_await session.query("TRACE?");
    if (!exchange) co_return exchange.error();
    answer = exchange->answer;
    co_return Result<void>{};
  };
  const auto instrument = [&]() -> boost::asio::awaitable<void> {
    const auto alarm = time.clock.make_alarm();
    for (const auto* reply : {"QBENCH,LOAD,0,1.0", "#14\n\n1\n"}) {
      std::array<char, 64> heard{};
      while (::recv(pair.instrument, heard.data(), heard.size(), MSG_DONTWAIT) < 0) {
        co_await alarm->until(time.clock.now() + 2ms);
      }
      pair.says(reply);
    }
  };
  boost::asio::co_spawn(time.io, instrument(), boost::asio::detached);
  REQUIRE(time.run(session.open()));
  CHECK(session.identity() == "QBENCH,LOAD,0,1.0");
  REQUIRE(time.run(ask()));
  CHECK(answer == "#14\n\n1\n");
}

TEST_CASE("a node that is not there is named") {
  RealTime time;
  const auto absent = time.make("/dev/usbtmc99");
  CHECK(time.open(*absent).error().message == "/dev/usbtmc99: no such port");
  CHECK(is_usbtmc("/dev/usbtmc0"));
  CHECK_FALSE(is_usbtmc("/dev/ttyUSB0"));
  CHECK_FALSE(is_usbtmc("/dev/usbtmc0/x"));
}

}  // namespace sagbench::drivers::test
