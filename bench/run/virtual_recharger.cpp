#include "bench/run/virtual_recharger.hpp"

#include "bench/steps/procedures.hpp"

namespace sagbench::bench {
namespace {

constexpr double kRest_s =
    3600.0;  // IEC 61960-3: 1 to 4 h between charge and discharge (from memory)
constexpr double kInterval_s = 60.0;

}  // namespace

boost::asio::awaitable<void> VirtualRecharger::recharge(StepContext& context) {
  co_await watch_rest(context, kRest_s, kInterval_s, analysis::Phase::rest);
  world_.recharge(clock_.now());
  co_await watch_rest(context, kRest_s, kInterval_s, analysis::Phase::rest);
}

}  // namespace sagbench::bench
