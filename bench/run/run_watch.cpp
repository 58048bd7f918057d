#include "bench/run/run_watch.hpp"

namespace sagbench::bench {

const std::string* next_step(const std::vector<std::string>& plan, const RunState& state) {
  const bool planned = state.plan_step < plan.size() && plan[state.plan_step] == state.label;
  const std::size_t next = state.plan_step + (planned ? 1 : 0);
  return next < plan.size() ? &plan[next] : nullptr;
}

boost::asio::awaitable<bool> RunWatch::stay() {
  co_return true;
}

}  // namespace sagbench::bench
