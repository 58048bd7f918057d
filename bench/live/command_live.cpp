#include "bench/live/command_live.hpp"

#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <csignal>
#include <memory>

#include "bench/files/input_error.hpp"
#include "bench/live/address_notice.hpp"
#include "bench/live/archive_follower.hpp"
#include "bench/live/http_server.hpp"
#include "bench/live/live_run.hpp"
#include "reports/archive.hpp"

namespace sagbench::live {
namespace {

constexpr const char* kUsualAddress = "127.0.0.1:8073";

}  // namespace

bench::MakeRunWatch watch_for(const PageOptions& options, const std::string& archive) {
  if (!options.address.empty())
    return make_live_run({parse_listen_address("--live", options.address), archive, options.stay});
  if (options.stay)
    throw bench::InputError("--stay: there is no page to stay; add --live ADDR:PORT");
  return nullptr;
}

int command_live(const std::string& archive, const PageOptions& options) {
  const ListenAddress address =
      parse_listen_address("--listen", options.address.empty() ? kUsualAddress : options.address);
  const reports::Archive readable(archive, reports::Archive::Access::read);  // throws where not
  boost::asio::io_context io;
  LiveService service(io, archive, nullptr);
  {
    HttpServer server(io, "--listen", address, service);
    tell_where(server.address(), server.token());
    ArchiveFollower follower(io, service, archive);
    boost::asio::signal_set signals(io, SIGINT, SIGTERM);
    signals.async_wait([&io](boost::system::error_code, int) { io.stop(); });
    io.run();
  }
  service.close();
  return 0;
}

}  // namespace sagbench::live
