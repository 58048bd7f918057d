#include "drivers/virtual/virtual_transport.hpp"

#include <algorithm>
#include <chrono>

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr Time kBothWays = std::chrono::microseconds(400);

}  // namespace

VirtualTransport::VirtualTransport(VirtualInstrument& instrument, Clock& clock, std::string name)
    : instrument_(instrument), clock_(clock), name_(std::move(name)), alarm_(clock.make_alarm()) {}

boost::asio::awaitable<Result<void>> VirtualTransport::open(Time /*deadline*/) {
  close();
  open_ = true;
  co_return Result<void>();
}

boost::asio::awaitable<Result<void>> VirtualTransport::write(std::string_view bytes,
                                                             Time /*deadline*/) {
  if (!open_) co_return Error{ErrorKind::disconnected, name_ + ": the line is closed"};
  for (Answer& answer : instrument_.receive(bytes, clock_.now())) {
    answer.ready += kBothWays;
    coming_.push_back(std::move(answer));
  }
  alarm_->ring();
  co_return Result<void>();
}

boost::asio::awaitable<Result<void>> VirtualTransport::read(std::string& into, Time deadline) {
  interrupted_ = false;
  while (open_) {
    if (take_one(into)) co_return Result<void>();
    if (interrupted_ || clock_.now() >= deadline)
      co_return Error{ErrorKind::timeout, name_ + ": no answer"};
    const Time next = coming_.empty() ? deadline : std::min(deadline, coming_.front().ready);
    co_await alarm_->until(next);
  }
  co_return Error{ErrorKind::disconnected, name_ + ": the line is closed"};
}

void VirtualTransport::take_arrived(std::string& into) {
  while (take_one(into)) {
  }
}

bool VirtualTransport::take_one(std::string& into) {
  if (coming_.empty() || coming_.front().ready > clock_.now()) return false;
  into += coming_.front().bytes;
  coming_.pop_front();
  return true;
}

void VirtualTransport::interrupt() noexcept {
  interrupted_ = true;
  alarm_->ring();
}

void VirtualTransport::close() noexcept {
  open_ = false;
  coming_.clear();
  alarm_->ring();
}

}  // namespace sagbench::drivers::virtual_bench
