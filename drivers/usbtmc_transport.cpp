#include "drivers/usbtmc_transport.hpp"

#include <algorithm>
#include <utility>

namespace sagbench::drivers {
namespace {

// What the driver may take longer than the caller, so that it is the caller who gives up.
constexpr UsbtmcDevice::Duration kLonger{20};

}  // namespace

UsbtmcTransport::UsbtmcTransport(const boost::asio::any_io_executor& executor, Clock& clock,
                                 const std::string& path)
    : UsbtmcTransport(executor, clock, path, [path] { return open_usbtmc(path); }) {}

UsbtmcTransport::UsbtmcTransport(const boost::asio::any_io_executor& executor, Clock& clock,
                                 std::string name, Opener opener)
    : StreamTransport(executor, clock, std::move(name)), opener_(std::move(opener)) {}

boost::asio::awaitable<Result<void>> UsbtmcTransport::open(Time) {
  close();
  Result<std::unique_ptr<UsbtmcDevice>> device = opener_();
  if (!device) co_return failed(*line(), device.error().kind, device.error().message);
  line()->stream.assign(std::move(*device));
  co_return Result<void>{};
}

boost::asio::awaitable<Result<void>> UsbtmcTransport::write(std::string_view bytes, Time deadline) {
  limit(deadline);
  return StreamTransport::write(bytes, deadline);
}

boost::asio::awaitable<Result<void>> UsbtmcTransport::read(std::string& into, Time deadline) {
  limit(deadline);
  return StreamTransport::read(into, deadline);
}

boost::asio::awaitable<Result<bool>> UsbtmcTransport::clear(Time deadline) {
  const Line line = this->line();
  if (!line->stream.is_open())
    co_return failed(*line, ErrorKind::disconnected, "the line is not open");
  const auto operation = std::make_shared<PendingOperation>();
  line->stream.async_clear(Finish{line, operation});
  const bool in_time = co_await over_by(line, operation, deadline);
  if (in_time) co_return Result<bool>(!operation->failure);
  shut(*line);
  co_return failed(*line, ErrorKind::disconnected, "the instrument does not react to a clear");
}

void UsbtmcTransport::limit(Time deadline) {
  const Time left = std::max(deadline - line()->clock.now(), Time(0));
  const auto most = std::chrono::hours(1);  // in case the caller says "for ever"
  line()->stream.limit(std::chrono::ceil<UsbtmcDevice::Duration>(std::min<Time>(left, most)) +
                       kLonger);
}

}  // namespace sagbench::drivers
