#include "bench/live/archive_answers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "bench/commands/analysis_document.hpp"
#include "bench/commands/run_list.hpp"
#include "bench/files/input_error.hpp"
#include "bench/live/live_messages.hpp"
#include "bench/live/live_point.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/run/run_digests.hpp"
#include "bench/version.hpp"
#include "reports/comparison_report.hpp"

namespace sagbench::live {
namespace {

using nlohmann::json;
using reports::Archive;

constexpr int kBadRequest = 400, kNotFound = 404, kConflict = 409, kServerFault = 500,
              kUnavailable = 503;

/// What is asked for cannot be told while it goes on.
struct StillRunning {};

reports::ReportInput ended(reports::ReportInput input) {
  if (input.record.closing.end == reports::RunEnd::running) throw StillRunning();
  return input;
}

Reply json_reply(std::string body) {
  Reply reply;
  reply.body = std::move(body);
  return reply;
}

/// Figures that are kept, or as they are found out. Throws StillRunning.
reports::RunDigest digest_of_ended(const Archive& archive, const bench::RunDigests& digests,
                                   const std::string& run) {
  const std::string id = archive.find_run(run);  // or there is none
  if (auto kept = digests.kept(id)) return *std::move(kept);
  return reports::digest_of(ended(bench::load_measured_run(archive, id)));
}

/// Of a run's whole discharge; where it has none, of all of it.
json curve_json(const Archive& archive, const reports::RunDigest& digest) {
  constexpr int kMost = 1000;
  json charge = json::array(), voltage = json::array();
  const auto put = [&](double charge_ah, double voltage_v) {
    charge.push_back(charge_ah);
    voltage.push_back(voltage_v);
  };
  if (digest.curve.empty()) {
    const reports::RunRecord record = archive.load(digest.run_id);
    const auto points = PointMaker(record.gaps).points(record.samples);
    if (!points.empty())
      for (const LivePoint& point : thinned(points, points.front().time_s, points.back().time_s,
                                            kMost / static_cast<int>(kTelling)))
        put(point.charge_ah, point.voltage_v);
  } else {
    const std::size_t every = (digest.curve.size() + kMost - 1) / kMost;
    for (std::size_t i = 0; i < digest.curve.size(); i += every)
      put(digest.curve[i].x, digest.curve[i].y);
  }
  return {{"run", digest.run_id}, {"charge_Ah", charge}, {"voltage_V", voltage}};
}

}  // namespace

Reply ArchiveAnswers::answer(const Asked& asked) const noexcept {
  try {
    return std::visit([this](const auto& what) { return make(what); }, asked);
  } catch (const StillRunning&) {
    return refusal_reply(kConflict, "the run goes on; figures can be had when it has ended");
  } catch (const bench::InputError& error) {
    return refusal_reply(kBadRequest, error.what());
  } catch (const reports::ArchiveError& error) {
    const bool user = error.kind() == reports::ArchiveError::Kind::user;
    return refusal_reply(user ? kNotFound : kUnavailable, error.what());
  } catch (const std::exception& error) {
    return refusal_reply(kServerFault, error.what());
  }
}

template <class Other>
Reply ArchiveAnswers::make(const Other&) const {
  return refusal_reply(kNotFound, "there is nothing under that name");
}

Reply ArchiveAnswers::make(const AskedRuns& asked) const {
  const bench::RunsWanted wanted{
      {asked.pack, asked.chemistry, asked.since, asked.until}, asked.end, asked.limit};
  return json_reply(bench::run_list_json(bench::list_runs(path_, wanted)));
}

Reply ArchiveAnswers::make(const AskedFigures& asked) const {
  const Archive archive(path_, Archive::Access::read);
  return json_reply(
      bench::analysis_document(path_, ended(bench::load_whole_run(archive, asked.run))));
}

Reply ArchiveAnswers::make(const AskedHistory& asked) const {
  const Archive archive(path_, Archive::Access::read);
  const reports::RunRecord record = archive.load(asked.run);
  const std::vector<LivePoint> points = PointMaker(record.gaps).points(record.samples);
  const double from_s =
      asked.from_s.value_or(points.empty() ? 0.0 : std::min(0.0, points.front().time_s));
  const double to_s = asked.to_s.value_or(points.empty() ? 0.0 : points.back().time_s);
  std::string events;
  for (const reports::Event& event : record.events) {
    if (!events.empty()) events += ',';
    events += event_json(event);
  }
  return json_reply(fmt::format(
      R"({{"run":"{}","from_s":{},"to_s":{},"columns":{},"events":[{}]}})", record.id, from_s, to_s,
      columns_json(thinned(points, from_s, to_s, asked.columns)), events));
}

Reply ArchiveAnswers::make(const AskedReport& asked) const {
  const Archive archive(path_, Archive::Access::read);
  reports::ReportInput input = ended(bench::load_whole_run(archive, asked.run));
  if (!input.record.photos.empty())
    input.photo_data = archive.photo_data(asked.run, input.record.photos.back().sha256);
  bench::load_photos(archive, path_, input.record);
  Reply reply;
  reply.type = "application/pdf";
  reply.body = reports::test_report_pdf(input);
  reply.attached_as = asked.run + ".pdf";
  return reply;
}

Reply ArchiveAnswers::make(const AskedComparison& asked) const {
  const Archive archive(path_, Archive::Access::read);
  const bench::RunDigests digests(path_, archive);
  reports::ComparisonRequest request;
  request.software = bench::kSoftware;
  json curves = json::array();
  for (const std::string& run : asked.runs) {
    request.runs.push_back(digest_of_ended(archive, digests, run));
    curves.push_back(curve_json(archive, request.runs.back()));
  }
  return json_reply(fmt::format(R"({{"runs":{},"curves":{}}})", reports::comparison_json(request),
                                curves.dump()));
}

}  // namespace sagbench::live
