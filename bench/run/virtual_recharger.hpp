#pragma once
#include "bench/run/recharger.hpp"
#include "drivers/virtual/virtual_bench.hpp"

namespace sagbench::bench {

/// The virtual bench's own charger: an hour's rest, a full charge, another hour's rest.
class VirtualRecharger final : public Recharger {
 public:
  VirtualRecharger(drivers::virtual_bench::VirtualBench& world, drivers::Clock& clock)
      : world_(world), clock_(clock) {}
  std::string unavailable() const override { return ""; }
  boost::asio::awaitable<void> recharge(StepContext& context) override;

 private:
  drivers::virtual_bench::VirtualBench& world_;
  drivers::Clock& clock_;
};

}  // namespace sagbench::bench
