// How a session gets its run into the archive: a new one, or one that was cut short.

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "bench/files/input_error.hpp"
#include "bench/run/run_header.hpp"
#include "bench/run/session.hpp"
#include "bench/safety/radio_check.hpp"
#include "bench/system/console.hpp"
#include "bench/system/terminal.hpp"
#include "reports/archive_space.hpp"

namespace sagbench::bench {

using boost::asio::awaitable;

namespace {

constexpr double kTimeToThink_s = 10.0;

}  // namespace

AtHand Session::at_hand(const RunRequest& request) {
  AtHand now{on_.pack_file.json,
             on_.bench_file.json,
             request.plan.source,
             instruments_used(on_.bench, instruments_),
             look_,
             std::nullopt,
             loop_.clock().utc(),
             own_world_ != nullptr};
  const double asked_s = guards().watchdog_s;
  if (const auto& watchdog = instruments_.load->dialect().watchdog)
    now.watchdog_s = std::min(asked_s, watchdog->max.value_or(asked_s));
  return now;
}

std::string Session::begin(reports::Archive& archive, const RunRequest& request) {
  const AtHand now = at_hand(request);
  look_after(cut_short_runs(archive, request.archive_path, now), archive, now,
             request.archive_path);
  std::vector<std::string> remarks = loop_.run(protect());
  for (std::string& capped : capped_radios(request.plan, limits_.current_a)) {
    tell(fmt::format("sagbench: {}\n", capped));
    remarks.push_back(std::move(capped));
  }
  const auto header = run_header(request, instruments_, loop_.clock().utc(), loop_.virtual_time(),
                                 std::move(remarks));
  begun_utc_ = header.utc;
  std::string id;
  archive.transaction([&] {  // nobody sees the run before it is claimed
    id = archive.begin_run(header);
    claim_ = reports::RunClaim::take(request.archive_path, id);
    reports::refuse_while_compacting(request.archive_path);
  });
  return id;
}

/// The person is told before anything is closed, and with a terminal has time to think better of
/// it.
void Session::look_after(const std::vector<CutShortRun>& runs, reports::Archive& archive,
                         const AtHand& now, const std::string& path) {
  bool could_go_on = false;
  for (const CutShortRun& run : runs) {
    tell(fmt::format("sagbench: {}\n", words_on(run, now, path)));
    could_go_on = could_go_on || run.continuation;
  }
  if (could_go_on && stderr_is_terminal() && !loop_.virtual_time()) loop_.run(give_time_to_think());
  for (const CutShortRun& run : runs) close_as_interrupted(archive, run, now);
}

void Session::tell(const std::string& text) const {
  if (around_ != nullptr && around_->told)
    around_->told(text);
  else
    say(text);
}

awaitable<bool> Session::give_time_to_think() {
  tell(fmt::format("Ctrl-C within {:.0f} s leaves it as it is.\n", kTimeToThink_s));
  co_await rig_->wait_until(rig_->now_s() + kTimeToThink_s);
  co_return true;
}

/// Before the load is touched: it may be a living run's.
void Session::refuse_what_cannot_go_on(const RunRequest& request) {
  const reports::Archive archive(request.archive_path, reports::Archive::Access::read);
  require_cut_short(archive, request.archive_path, archive.find_run(request.continue_run));
}

std::string Session::go_on(reports::Archive& archive, const RunRequest& request) {
  const std::string& path = request.archive_path;
  const AtHand now = at_hand(request);
  CutShortRun run = run_to_continue(archive, path, request.continue_run, now);
  std::string id = run.record.id;
  begun_utc_ = run.record.header.utc;
  if (!run.continuation) {
    close_as_interrupted(archive, run, now);
    throw InputError(fmt::format("{}: run {} cannot go on: {}; it is closed as incomplete", path,
                                 id, run.continuation.why()));
  }
  look_after(cut_short_runs(archive, path, now, id), archive, now, path);
  loop_.run(protect());
  continuation_ = *run.continuation;
  claim_ = std::move(run.claim);
  reports::refuse_while_compacting(path);
  open_again(archive, id, *continuation_);
  rig_->take_up(continuation_->now_s, continuation_->charge_removed_ah, continuation_->brought_v);
  return id;
}

}  // namespace sagbench::bench
