// Real time and real sockets: each case takes a few hundredths of a second.
#include "drivers/virtual/scpi_server.hpp"

#include <boost/asio/buffer.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/write.hpp>

#include "catch.hpp"
#include "served_load.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;
using boost::asio::ip::tcp;

class TcpClient {
 public:
  explicit TcpClient(const std::string& address) : socket_(io_) {
    const auto port = static_cast<std::uint16_t>(std::stoi(address.substr(address.rfind(':') + 1)));
    socket_.connect({boost::asio::ip::address_v4::loopback(), port});
  }
  void send(const std::string& text) { boost::asio::write(socket_, boost::asio::buffer(text)); }
  std::string ask(const std::string& message) {
    send(message + "\n");
    return line();
  }
  std::string line() {
    const std::size_t length =
        boost::asio::read_until(socket_, boost::asio::dynamic_buffer(received_), '\n');
    std::string text = received_.substr(0, length);
    received_.erase(0, length);
    return text;
  }
  void finish_sending() { socket_.shutdown(tcp::socket::shutdown_send); }

 private:
  boost::asio::io_context io_;
  tcp::socket socket_;
  std::string received_;
};

}  // namespace

TEST_CASE("a TCP client is served, and the next one finds the instrument as it was left") {
  ServedLoad load(Line::tcp);
  CHECK(load.address().rfind("tcp:127.0.0.1:", 0) == 0);
  {
    TcpClient client(load.address());
    CHECK(client.ask("*IDN?") == "SAGBENCH,VIRTUAL-LOAD,1,1\n");
    CHECK(client.ask("CURR 3;:INP ON;:INP?") == "1\n");
  }
  TcpClient next(load.address());
  CHECK(next.ask("INP?") == "1\n");  // nobody switched it off
  CHECK(std::stod(next.ask("MEAS:CURR?")) == Approx(3.0).margin(0.04));
}

TEST_CASE("answers leave in real time, not before") {
  ServedLoad load(Line::tcp);
  TcpClient client(load.address());
  client.ask("*IDN?");
  const auto begin = std::chrono::steady_clock::now();
  client.ask("MEAS:VOLT?;CURR?;VOLT?;CURR?;VOLT?");
  CHECK(std::chrono::steady_clock::now() - begin >= 10ms);  // five conversions of at least 2 ms
}

TEST_CASE("a client that has finished sending still gets its answers") {
  ServedLoad load(Line::tcp);
  TcpClient client(load.address());
  client.send("MEAS:VOLT?\n*OPC?\n");
  client.finish_sending();
  CHECK(std::stod(client.line()) > 13.0);
  CHECK(client.line() == "1\n");
}

TEST_CASE("a client that vanishes in the middle of everything does no harm") {
  ServedLoad load(Line::tcp);
  for (int i = 0; i < 20; ++i) {
    TcpClient client(load.address());
    client.send("MEAS:VOLT?\nMEAS:VOLT?\nMEAS:CU");
  }
  TcpClient next(load.address());
  CHECK(next.ask("*OPC?") == "1\n");
  CHECK(next.ask("SYST:ERR?") == "0,\"No error\"\n");
}

TEST_CASE("a port that is taken is the caller's error") {
  ServedLoad first(Line::tcp);
  boost::asio::io_context io;
  RealClock clock(io);
  VirtualBench bench(lfp_world(), load_spec(), std::nullopt, 1);
  const auto port = static_cast<std::uint16_t>(std::stoi(first.address().substr(14)));
  const auto second = ScpiServer::tcp(io, clock, bench.load(), port);
  REQUIRE(second.has_error());
  CHECK(second.error().kind == ErrorKind::caller);
}

}  // namespace sagbench::drivers::virtual_bench::test
