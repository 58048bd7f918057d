#include "bench/live/archive_follower.hpp"

#include <chrono>
#include <exception>
#include <utility>

#include "bench/files/json_reader.hpp"
#include "bench/files/pack_file.hpp"
#include "bench/files/plan_file.hpp"
#include "bench/live/stream_thinner.hpp"
#include "bench/steps/step_label.hpp"
#include "reports/archive.hpp"
#include "reports/run_claim.hpp"

namespace sagbench::live {
namespace {

constexpr auto kEvery = std::chrono::seconds(1);

RunFacts facts_of(const reports::RunRecord& record, const std::string& path) {
  const std::string origin = "run " + record.id;
  RunFacts facts;
  facts.run_id = record.id;
  facts.utc = record.header.utc;
  facts.archive_path = path;
  facts.pack = bench::pack_from_json(bench::parse_json(record.header.pack_json, origin), origin);
  const auto plan =
      bench::plan_from_json(bench::parse_json(record.header.plan_json, origin), origin, ".");
  for (const bench::PlanStep& step : plan.steps)
    facts.plan.push_back(bench::step_label(step, facts.pack));
  const auto bench = bench::parse_json(record.header.bench_json, origin);
  facts.bench_name = bench.value("name", "");
  return facts;
}

/// Its program is gone, and it has no end.
reports::RunClosing cut_short() {
  return {reports::RunEnd::interrupted,
          "the program that carried it out is gone; look at the load, its input may be on still",
          false};
}

}  // namespace

ArchiveFollower::ArchiveFollower(boost::asio::io_context& io, LiveService& service,
                                 std::string archive_path)
    : service_(service),
      path_(std::move(archive_path)),
      timer_(io),
      self_(std::make_shared<ArchiveFollower*>(this)) {
  look();
}

void ArchiveFollower::look() {
  if (!looking_) ask();
  timer_.expires_after(kEvery);
  timer_.async_wait([alive = std::weak_ptr(self_)](boost::system::error_code error) {
    const auto self = alive.lock();
    if (!error && self) (*self)->look();
  });
}

void ArchiveFollower::ask() {
  std::function<Look()> make = [path = path_, run = facts_.run_id, samples = samples_,
                                events = events_] {
    try {
      return look_at(path, run, samples, events);
    } catch (const std::exception&) {
      return Look();  // as when the disk is gone for a moment: another look follows
    }
  };
  std::function<void(Look)> done = [alive = std::weak_ptr(self_)](const Look& seen) {
    if (const auto self = alive.lock()) (*self)->take(seen);
  };
  looking_ = service_.background().run<Look>(std::move(make), std::move(done));
}

ArchiveFollower::Look ArchiveFollower::look_at(const std::string& path, std::string run,
                                               std::int64_t samples, std::int64_t events) {
  const reports::RunTail tail(path);
  Look look;
  if (run.empty()) {
    const auto going_on = tail.going_on();
    if (!going_on) return look;
    run = *going_on;
    samples = events = 0;
    const reports::Archive archive(path, reports::Archive::Access::read);
    look.begun = archive.load(run);
    look.begun->samples.clear();
    look.begun->events.clear();
  }
  look.run_id = run;
  // Asked before what it wrote is read: one that ends meanwhile is told of at the next look.
  const bool held = reports::RunClaim::is_held(path, run);
  look.news = tail.since(run, samples, events);
  look.lost = !held && look.news.closing.end == reports::RunEnd::running;
  return look;
}

void ArchiveFollower::take(const Look& look) {
  looking_ = false;
  if (look.run_id.empty()) return;
  if (look.begun) begin(*look.begun);
  const std::vector<LivePoint> points = maker_.points(look.news.samples);
  for (const LivePoint& point : thinned_stream(points)) service_.feed().add(point);
  if (!points.empty()) newest_ = points.back();
  for (const reports::Event& event : look.news.events) {
    add_caution(cautions_, event);
    service_.feed().event(event.time_s, event_json(event));
  }
  samples_ += static_cast<std::int64_t>(look.news.samples.size());
  events_ += static_cast<std::int64_t>(look.news.events.size());
  tell_state(look.news.steps);
  if (look.lost) end(cut_short());
  if (look.news.closing.end != reports::RunEnd::running) end(look.news.closing);
}

void ArchiveFollower::begin(const reports::RunRecord& record) {
  facts_ = facts_of(record, path_);
  maker_ = PointMaker(record.gaps);
  samples_ = events_ = 0;
  newest_ = LivePoint();
  cautions_.clear();
  service_.run_begun(facts_.run_id);
  service_.feed().begin(facts_.run_id, hello_json(facts_, ""));
}

void ArchiveFollower::tell_state(const std::vector<analysis::StepKind>& steps) {
  SeenState seen;
  seen.time_s = newest_.time_s;
  seen.charge_removed_ah = newest_.charge_ah;
  seen.cautions = cautions_;
  for (const analysis::StepKind kind : steps) {
    const bool recharge = kind == analysis::StepKind::recharge;
    seen.label = recharge ? "recharge" : "";
    if (!recharge) ++seen.planned;
  }
  service_.feed().state(seen_state_json(facts_, seen));
}

void ArchiveFollower::end(const reports::RunClosing& closing) {
  const std::string json = end_json(facts_.run_id, closing);
  service_.feed().end(json, hello_json(facts_, json));
  service_.run_ended();
  facts_.run_id.clear();  // the next look may find another one
}

}  // namespace sagbench::live
