// `sagbench virtual`: the virtual instruments in real time, for any SCPI client.

#include <fmt/format.h>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/signal_set.hpp>
#include <csignal>
#include <cstdio>
#include <exception>

#include "bench/commands/commands.hpp"
#include "bench/files/input_error.hpp"
#include "bench/run/instruments.hpp"
#include "bench/run/run_session.hpp"
#include "bench/safety/stop.hpp"
#include "bench/system/event_loop.hpp"
#include "bench/system/hang_up.hpp"
#include "drivers/virtual/scpi_server.hpp"

namespace sagbench::bench {

using drivers::virtual_bench::ScpiServer;
using drivers::virtual_bench::VirtualBench;
using drivers::virtual_bench::VirtualInstrument;

namespace {

std::unique_ptr<ScpiServer> serve(EventLoop& loop, VirtualInstrument& instrument,
                                  const std::string& way) {
  auto server = way == "tcp" ? ScpiServer::tcp(loop.io(), loop.clock(), instrument)
                             : ScpiServer::pty(loop.io(), loop.clock(), instrument);
  if (!server) throw Stop(reports::RunEnd::instrument, server.error().message);
  return std::move(*server);
}

}  // namespace

int command_virtual(const ServeOptions& options) {
  if (options.way == "pty" && !ScpiServer::has_pty())
    throw InputError("--serve pty: this system has no pseudo-terminals; --serve tcp is accepted");
  const BenchAndPack on = read_bench_and_pack(options.bench, options.pack);
  EventLoop loop(false);
  VirtualBench world(world_of(on.pack, on.bench), load_of(on.bench), meter_of(on.bench),
                     options.seed);
  // Before the addresses are told: who has them may send a signal at once.
  boost::asio::signal_set signals(loop.io(), SIGINT, SIGTERM);
  add_hang_up(signals);
  std::vector<std::unique_ptr<ScpiServer>> servers;
  servers.push_back(serve(loop, world.load(), options.way));
  fmt::print("load {}\n", servers.back()->address());
  if (on.bench.meter) {
    servers.push_back(serve(loop, world.meter(), options.way));
    fmt::print("meter {}\n", servers.back()->address());
  }
  std::fflush(stdout);

  const auto stop_all = [&] {
    for (const auto& server : servers) server->stop();
  };
  signals.async_wait([&](const boost::system::error_code& error, int) {
    if (!error) stop_all();
  });
  std::exception_ptr failure;
  std::size_t running = servers.size();
  for (const auto& server : servers)
    boost::asio::co_spawn(loop.io(), server->run(), [&](const std::exception_ptr& thrown) {
      if (thrown && !failure) failure = thrown;
      if (thrown) stop_all();
      if (--running == 0) signals.cancel();
    });
  loop.io().run();
  if (failure) std::rethrow_exception(failure);
  return 0;
}

}  // namespace sagbench::bench
