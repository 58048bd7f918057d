#pragma once
// A line to a virtual instrument in the same process, on any clock.

#include <deque>
#include <memory>
#include <string>

#include "drivers/transport.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::drivers::virtual_bench {

/// Answers arrive when the instrument has them ready, plus a fixed time on the wire both ways. The
/// instrument and the clock must outlive it. Reopening loses answers still on the way.
class VirtualTransport final : public Transport {
 public:
  VirtualTransport(VirtualInstrument& instrument, Clock& clock, std::string name);

  boost::asio::awaitable<Result<void>> open(Time deadline) override;
  boost::asio::awaitable<Result<void>> write(std::string_view bytes, Time deadline) override;
  boost::asio::awaitable<Result<void>> read(std::string& into, Time deadline) override;
  void take_arrived(std::string& into) override;
  void interrupt() noexcept override;
  void close() noexcept override;
  const std::string& name() const noexcept override { return name_; }

 private:
  bool take_one(std::string& into);

  VirtualInstrument& instrument_;
  Clock& clock_;
  std::string name_;
  std::unique_ptr<Alarm> alarm_;
  std::deque<Answer> coming_;  // `ready` with the wire's time
  bool open_ = false;
  bool interrupted_ = false;
};

}  // namespace sagbench::drivers::virtual_bench
