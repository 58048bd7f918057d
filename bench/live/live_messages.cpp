#include "bench/live/live_messages.hpp"

#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>

#include "bench/commands/run_list.hpp"

namespace sagbench::live {
namespace {

using Json = nlohmann::ordered_json;

/// Names are the user's bytes, which may be no UTF-8.
std::string text_of(const Json& json) {
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Json text_or_null(const std::string& text) {
  return text.empty() ? Json(nullptr) : Json(text);
}

/// No digits that nobody needs.
Json figure(double value) {
  if (!std::isfinite(value)) return nullptr;
  constexpr double kDigits = 1e5;
  return std::round(value * kDigits) / kDigits;
}

Json pack_json(const analysis::Pack& pack) {
  return {{"name", pack.name},
          {"serial", text_or_null(pack.serial)},
          {"chemistry", analysis::limits_of(pack.chemistry).name},
          {"series", pack.series},
          {"parallel", pack.parallel},
          {"rated_capacity_Ah", pack.rated_capacity_ah},
          {"mass_kg", pack.mass_kg ? Json(*pack.mass_kg) : Json(nullptr)},
          {"end_of_discharge_V", figure(analysis::end_of_discharge_voltage_v(pack))}};
}

/// Of every check, so that a page may ask for words by id.
Json checks_json() {
  Json checks = Json::array();
  for (const bench::SafetyCheck& check : bench::safety_checks())
    checks.push_back({{"id", check.name}, {"title", check.title}, {"words", check.limit}});
  return checks;
}

void put_left(Json& into, const char* seconds, const char* doubt,
              const std::optional<bench::TimeLeft>& left) {
  into[seconds] = left ? figure(left->seconds) : Json(nullptr);
  into[doubt] = left ? figure(left->doubt_s) : Json(nullptr);
}

Json limits_json(const std::vector<bench::LimitRoom>& rooms) {
  Json limits = Json::array();
  for (const bench::LimitRoom& room : rooms)
    limits.push_back({{"id", bench::name_of(room.check)},
                      {"title", bench::check_of(room.check).title},
                      {"value", figure(room.value)},
                      {"limit", figure(room.limit)},
                      {"unit", room.unit},
                      {"room", figure(room.room)}});
  return limits;
}

Json peaks_json(const std::deque<bench::PeakSag>& sags) {
  Json peaks = Json::array();
  for (const bench::PeakSag& sag : sags)
    peaks.push_back({{"time_s", figure(sag.time_s)},
                     {"current_A", figure(sag.current_a)},
                     {"rest_V", figure(sag.rest_v)},
                     {"least_V", figure(sag.least_v)},
                     {"sag_V", figure(sag.sag_v())}});
  return peaks;
}

}  // namespace

std::string hello_json(const RunFacts& run, const std::string& ended) {
  const Json facts = {{"id", run.run_id},
                      {"utc", text_or_null(run.utc)},
                      {"archive", std::filesystem::path(run.archive_path).filename().string()},
                      {"pack", pack_json(run.pack)},
                      {"plan", run.plan},
                      {"rated_Ah", run.pack.rated_capacity_ah},
                      {"limits", checks_json()},
                      {"bench", text_or_null(run.bench_name)},
                      {"simulated", run.simulated},
                      {"ended", ended.empty() ? Json(nullptr) : Json::parse(ended)}};
  return R"(,"run":)" + text_of(facts);
}

void add_caution(std::vector<std::string>& cautions, const reports::Event& event) {
  constexpr std::size_t kMost = 20;
  if (event.severity == "warning" && cautions.size() < kMost) cautions.push_back(event.text);
}

std::string state_json(const RunFacts& run, const bench::RunState& state,
                       const std::vector<std::string>& cautions) {
  Json step = nullptr;
  if (!state.label.empty()) {
    step = {{"index", state.plan_step + 1}, {"count", run.plan.size()}, {"label", state.label}};
    put_left(step, "ends_in_s", "ends_in_doubt_s", state.step_left);
  }
  const std::string* next = bench::next_step(run.plan, state);
  Json json = {{"type", "state"}, {"time_s", figure(state.time_s)}, {"step", std::move(step)}};
  json["next"] = next != nullptr ? Json(*next) : Json(nullptr);
  put_left(json, "run_ends_in_s", "run_ends_in_doubt_s", state.run_left);
  json["input_on"] = state.input_on;
  json["commanded_A"] = figure(state.commanded_a);
  const auto& standing = state.standing;
  json["charge_removed_Ah"] = standing ? figure(standing->charge_removed_ah) : Json(nullptr);
  json["rated_Ah"] = run.pack.rated_capacity_ah;
  json["limits"] = standing ? limits_json(standing->limits) : Json::array();
  json["peaks"] = peaks_json(state.peaks);
  json["cautions"] = cautions;
  return text_of(json);
}

std::string seen_state_json(const RunFacts& run, const SeenState& seen) {
  Json step = nullptr;
  const bool recharge = !seen.label.empty();
  if (seen.planned > 0 && seen.planned <= run.plan.size())
    step = {{"index", seen.planned},
            {"count", run.plan.size()},
            {"label", recharge ? seen.label : run.plan[seen.planned - 1]},
            {"ends_in_s", nullptr},
            {"ends_in_doubt_s", nullptr}};
  return text_of(
      {{"type", "state"},
       {"time_s", figure(seen.time_s)},
       {"step", std::move(step)},
       {"next", seen.planned < run.plan.size() ? Json(run.plan[seen.planned]) : Json(nullptr)},
       {"run_ends_in_s", nullptr},
       {"run_ends_in_doubt_s", nullptr},
       {"input_on", nullptr},
       {"commanded_A", nullptr},
       {"charge_removed_Ah", figure(seen.charge_removed_ah)},
       {"rated_Ah", run.pack.rated_capacity_ah},
       {"limits", Json::array()},
       {"peaks", Json::array()},
       {"cautions", seen.cautions}});
}

std::string event_json(const reports::Event& event) {
  return text_of({{"type", "event"},
                  {"time_s", figure(event.time_s)},
                  {"kind", event.severity},
                  {"text", event.text}});
}

std::string end_json(const std::string& run_id, const reports::RunClosing& closing) {
  return text_of({{"type", "end"},
                  {"end", bench::word_of(closing.end)},
                  {"exit_code", static_cast<int>(closing.end)},
                  {"reason", text_or_null(closing.reason)},
                  {"load_confirmed_off", closing.load_confirmed_off},
                  {"run", run_id}});
}

}  // namespace sagbench::live
