#include "reports/run_tail.hpp"

#include "reports/archive_open.hpp"
#include "reports/archive_samples.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::reports {

RunTail::RunTail(const std::string& path) : path_(path), database_(open_to_read(path)) {}

std::optional<std::string> RunTail::going_on() const {
  Query query = database_.query("SELECT id FROM run WHERE end_code = -1 ORDER BY run DESC");
  while (query.step())
    if (std::string id = query.text(0); RunClaim::is_held(path_, id)) return id;
  return std::nullopt;
}

RunTail::News RunTail::since(const std::string& run_id, std::int64_t samples,
                             std::int64_t events) const {
  News news;
  // The end first: what is written before it is read after it.
  Query run =
      database_.query("SELECT run, end_code, reason, load_confirmed_off FROM run WHERE id = ?");
  run.bind(run_id);
  if (!run.step()) database_.fail_damaged("run " + run_id + " cannot be found again");
  const std::int64_t number = run.integer(0);
  news.closing = {static_cast<RunEnd>(run.integer(1)), run.text(2), run.integer(3) != 0};
  news.samples = load_samples_from(database_, number, samples);
  Query event = database_.query(
      "SELECT time_s, severity, text FROM event WHERE run = ? AND seq >= ? ORDER BY seq");
  event.bind(number).bind(events);
  while (event.step()) news.events.push_back({event.real(0), event.text(1), event.text(2)});
  Query step = database_.query("SELECT kind FROM step WHERE run = ? ORDER BY step");
  step.bind(number);
  while (step.step())
    if (const auto kind = analysis::step_kind_from(step.text_view(0))) news.steps.push_back(*kind);
  return news;
}

}  // namespace sagbench::reports
