#pragma once
#include <boost/asio/io_context.hpp>

#include "bench/run/recharger.hpp"

namespace sagbench::bench {

/// Asks the person at the terminal to recharge the pack and to press Enter, and asks again while
/// the pack does not look recharged. Not to be had without a terminal.
class OperatorRecharger final : public Recharger {
 public:
  explicit OperatorRecharger(boost::asio::io_context& io) : io_(io) {}
  std::string unavailable() const override;
  boost::asio::awaitable<void> recharge(StepContext& context) override;

 private:
  boost::asio::awaitable<void> wait_for_enter(Rig& rig, const std::string& question);

  boost::asio::io_context& io_;
};

}  // namespace sagbench::bench
