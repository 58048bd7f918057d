#pragma once
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/use_future.hpp>
#include <future>
#include <memory>
#include <string>
#include <thread>

#include "catch.hpp"
#include "drivers/real_clock.hpp"
#include "drivers/virtual/scpi_server.hpp"
#include "worlds.hpp"

namespace sagbench::drivers::virtual_bench::test {

enum class Line { tcp, pty };

/// A served load on its own thread, so that the tests are plain blocking clients.
class ServedLoad {
 public:
  explicit ServedLoad(Line line)
      : bench_(lfp_world(), load_spec(), std::nullopt, 1),
        server_((line == Line::tcp ? ScpiServer::tcp(io_, clock_, bench_.load())
                                   : ScpiServer::pty(io_, clock_, bench_.load()))
                    .value()),
        ended_(boost::asio::co_spawn(io_, server_->run(), boost::asio::use_future)),
        thread_([this] { io_.run(); }) {}
  ~ServedLoad() {
    boost::asio::post(io_, [this] { server_->stop(); });
    thread_.join();
    CHECK_NOTHROW(ended_.get());
  }
  ServedLoad(const ServedLoad&) = delete;
  ServedLoad& operator=(const ServedLoad&) = delete;

  const std::string& address() const { return server_->address(); }

 private:
  boost::asio::io_context io_;
  RealClock clock_{io_};
  VirtualBench bench_;
  std::unique_ptr<ScpiServer> server_;
  std::future<void> ended_;
  std::thread thread_;
};

}  // namespace sagbench::drivers::virtual_bench::test
