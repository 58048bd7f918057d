#pragma once
// One run from its first step to its closing: the plan's steps in order, and whatever happens, the
// load off at the end.

#include <boost/asio/awaitable.hpp>
#include <functional>
#include <string>

#include "bench/files/plan_file.hpp"
#include "bench/run/continuation.hpp"
#include "bench/run/foretelling.hpp"
#include "bench/run/progress.hpp"
#include "bench/run/recharger.hpp"
#include "bench/safety/rig.hpp"

namespace sagbench::bench {

struct RunParts {
  Rig& rig;  // attached to its journal, instruments open and protected
  const Plan& plan;
  const analysis::Pack& pack;
  Recharger& recharger;
  Progress& progress;
  std::uint64_t seed = 0;
  Agility load{};
  std::function<bool()> give_up_on_off;           // see Rig::make_safe
  std::function<void(const std::string&)> alarm;  // the load could not be switched off
  /// Where the plan goes on, its gap in the archive and the rig there already; null: it begins.
  const Continuation* continuation = nullptr;
  std::function<void(const std::string&)> tell{};  // a line for the person; may be empty
  Foretelling* foretelling = nullptr;              // null: transmit steps are not predicted
  /// At the end, as soon as the load is confirmed off, or known not to be; may be empty.
  std::function<void(bool off)> load_off{};
};

/// Runs the plan. Never throws: every end becomes a closing, which is in the archive (as far as it
/// can be written) before this returns.
boost::asio::awaitable<reports::RunClosing> run_plan(RunParts parts);

/// What a recharge before this step would be, at this state of charge (0..1). A capacity discharge
/// and peaks at a state of charge already passed require it; a transmit step starts full like an
/// outing does, where a recharge can be had.
enum class RechargeNeed { none, useful, required };
RechargeNeed recharge_need(const PlanStep& step, double charge);

}  // namespace sagbench::bench
