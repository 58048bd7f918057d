#pragma once
// Some steps need a full pack after another has emptied it. The load only discharges; somebody else
// charges.

#include <boost/asio/awaitable.hpp>
#include <string>

#include "bench/steps/step_context.hpp"

namespace sagbench::bench {

class Recharger {
 public:
  virtual ~Recharger() = default;
  /// Why no recharge can be had here; empty when it can.
  virtual std::string unavailable() const = 0;
  /// The input is off. Returns when the pack is full and rested; throws Stop like the rig. The pack
  /// is watched meanwhile.
  virtual boost::asio::awaitable<void> recharge(StepContext& context) = 0;
};

}  // namespace sagbench::bench
