#include "judge.hpp"

#include <fmt/format.h>
#include <sqlite3.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "analysis/capacity.hpp"
#include "bench/run/loaded_run.hpp"
#include "bench/safety/limits.hpp"
#include "fall_in_blindness.hpp"
#include "reports/archive.hpp"

namespace sagbench::campaign {
namespace {

using reports::RunEnd;

bool begun(const Stage& stage, const std::vector<Fault>& faults, FaultKind kind) {
  for (const std::size_t place : stage.begun())
    if (faults[place].kind == kind) return true;
  return false;
}

/// One trial's judgement.
class Judge {
 public:
  Judge(const Scene& scene, const std::vector<Fault>& faults, Stage& stage,
        const std::string& archive, Report& report)
      : scene_(scene), faults_(faults), stage_(stage), archive_(archive), report_(report) {}

  void judge() {
    judge_endings();
    judge_pack();
    judge_archive();
  }

 private:
  bool happened(FaultKind kind) const { return begun(stage_, faults_, kind); }
  void fail(std::string what) { report_.failures.push_back(std::move(what)); }

  void judge_endings() {
    for (const Program& program : report_.programs) {
      if (program.how == Program::How::overdue) fail("the program never ended");
      if (program.how != Program::How::ended) continue;
      if (program.closing.end == RunEnd::defect) fail("a defect: " + program.closing.reason);
      if (program.closing.end == RunEnd::running) fail("a run without an end");
      if (program.closing.end != RunEnd::done && program.closing.reason.empty())
        fail("an early end without a reason");
    }
    const Program& first = report_.programs.front();
    if (!stage_.begun().empty() || stage_.failed() || report_.disk_failed) return;
    if (ending_of(first) != "done")
      fail(fmt::format("nothing was wrong, and it ended: {} {}{}", ending_of(first), first.words,
                       first.closing.reason));
  }

  void judge_pack() {
    const auto truth = stage_.world().truth(stage_.now());
    const bench::BenchAndPack on = bench_and_pack(scene_);
    const auto limits = bench::limits_for(on.pack, on.bench);
    // The load's own class: it draws what it was told within this.
    const double class_a = bench::accuracy_of(on.bench).load_current.half_width(limits.current_a);
    if (truth.highest_current_a > limits.current_a + class_a)
      fail(fmt::format("{:.3f} A flowed; the pack's limit is {:.3f} A, the load's class {:.3f} A",
                       truth.highest_current_a, limits.current_a, class_a));
    const double floor_v = analysis::limits_of(scene_.chemistry).floor_v;
    report_.lowest_margin_v = truth.ever_lowest_cell_v - floor_v;
    if (report_.lowest_margin_v >= 0.0 || cells_are_unseen() || only_the_operator_could()) return;
    report_.allowed_under_v = fall_in_blindness_v(scene_, faults_);
    if (report_.lowest_margin_v < -report_.allowed_under_v)
      fail(fmt::format("a cell came to {:.3f} V; its floor is {:.2f} V, {:.3f} V under it may be",
                       truth.ever_lowest_cell_v, floor_v, report_.allowed_under_v));
  }

  /// A cell that nothing watches by itself, neither tap nor board, is seen in the sum only.
  bool cells_are_unseen() const { return scene_.taps == 0 && !scene_.board && scene_.series > 1; }

  /// An input that is stuck, or a load that cannot help itself while the computer does nothing: the
  /// operator is there for that, and whether he was told in time is the Witness's to judge.
  bool only_the_operator_could() const {
    const bool computer_idle = happened(FaultKind::suspend) || happened(FaultKind::crash);
    const bool line_dead = happened(FaultKind::silence) || happened(FaultKind::gone);
    return happened(FaultKind::stuck) || (!scene_.guarded() && (computer_idle || line_dead));
  }

  void judge_archive() {
    if (!std::filesystem::exists(archive_)) {
      if (report_.programs.front().how == Program::How::ended) fail("there is no archive");
      return;
    }
    try {
      const reports::Archive archive(archive_, reports::Archive::Access::read);
      judge_sequence();
      for (const reports::RunSummary& run : archive.runs())
        judge_run(archive.load(run.id), is_first(run.id));
    } catch (const reports::ArchiveError& error) {
      if (!never_begun()) fail(fmt::format("the archive cannot be read: {}", error.what()));
    }
  }

  /// Whether the first program began it. By its date it need not be the oldest: clocks are set.
  bool is_first(const std::string& run) const {
    return std::none_of(report_.programs.begin() + 1, report_.programs.end(),
                        [&](const Program& p) { return p.run_id == run && !p.went_on; });
  }

  /// No run was ever announced: what stands there may be half made.
  bool never_begun() const {
    return std::all_of(report_.programs.begin(), report_.programs.end(), [](const Program& p) {
      return p.how == Program::How::no_archive || p.how == Program::How::refused ||
             p.how == Program::How::no_bench || p.how == Program::How::died;
    });
  }

  /// Samples are numbered without gaps.
  void judge_sequence() {
    sqlite3* file = nullptr;
    sqlite3_open_v2(archive_.c_str(), &file, SQLITE_OPEN_READONLY, nullptr);
    const auto gap = [](void* self, int, char** values, char**) {
      static_cast<Judge*>(self)->fail(
          fmt::format("samples {} to {} of a run are {}", values[0], values[1], values[2]));
      return 0;
    };
    sqlite3_exec(
        file,
        "SELECT min(seq), max(seq + count) - 1, sum(count) FROM (SELECT run, seq, 1 AS count "
        "FROM sample UNION ALL SELECT run, seq, count FROM sample_block) GROUP BY run "
        "HAVING min(seq) <> 0 OR max(seq + count) <> sum(count)",
        gap, this, nullptr);
    sqlite3_close(file);
  }

  void judge_run(reports::RunRecord record, bool first) {
    const Program* program = nullptr;
    for (const Program& candidate : report_.programs)
      if (candidate.run_id == record.id) program = &candidate;
    if (program == nullptr) {
      judge_orphan(record);
    } else {
      judge_closing(record, *program);
    }
    for (std::size_t i = 1; i < record.samples.size(); ++i)
      if (!(record.samples[i].time_s > record.samples[i - 1].time_s))
        fail(fmt::format("sample {} is not later than the one before it", i));
    if (!first) return;
    judge_completeness(record, report_.programs.front());
    judge_capacity(record);
  }

  /// The run of a program that died.
  void judge_orphan(const reports::RunRecord& record) {
    if (!std::any_of(report_.programs.begin(), report_.programs.end(),
                     [](const Program& p) { return p.how == Program::How::died; }))
      fail(fmt::format("run {} belongs to no program", record.id));
    if (record.closing.end == RunEnd::done) fail("the run of a dead program is said to be done");
  }

  void judge_closing(const reports::RunRecord& record, const Program& program) {
    const bool lacks = program.closing.reason.find("lacks the end") != std::string::npos;
    if (lacks && !happened(FaultKind::disk_full) && !happened(FaultKind::archive_busy) &&
        !report_.disk_failed)
      fail("the archive lacks the end of the run for no reason");
    if (lacks) return;
    if (record.closing.end != program.closing.end)
      fail(fmt::format("the archive says end {}, the program {}",
                       static_cast<int>(record.closing.end),
                       static_cast<int>(program.closing.end)));
    if (record.closing.load_confirmed_off != program.closing.load_confirmed_off)
      fail("archive and program differ on whether the load is off");
  }

  /// Every reading of the pack that reached the program while it ran is a sample.
  void judge_completeness(const reports::RunRecord& record, const Program& program) {
    if (record.samples.empty()) return;
    const double until_s = complete_until_s(program);
    const double from_s = program.began_s + record.samples.front().time_s;
    auto sample = record.samples.begin();
    std::vector<double> missing;
    for (const Delivered& reading : stage_.witness().delivered()) {
      if (reading.asked_s > program.left_s) break;
      if (reading.delivered_s < from_s) continue;
      const auto is_it = [&](const analysis::Sample& s) {
        const double time_s = program.began_s + s.time_s;
        return s.voltage_v == reading.voltage_v && time_s >= reading.asked_s - 1e-6 &&
               time_s <= reading.delivered_s + 1e-6;
      };
      const auto found = std::find_if(sample, record.samples.end(), is_it);
      if (found != record.samples.end())
        sample = found + 1;
      else if (reading.delivered_s < until_s && !stage_.disturbed_near(reading.delivered_s))
        missing.push_back(reading.delivered_s);
    }
    // The last one may belong to a sample that an instrument's failure cut short.
    if (!missing.empty() && program.closing.end != RunEnd::done) missing.pop_back();
    if (!missing.empty())
      fail(fmt::format("{} readings are no samples of the archive, the first at {:.3f} s",
                       missing.size(), missing.front()));
  }

  double complete_until_s(const Program& program) const {
    double until_s = program.left_s;
    const bool died = program.how == Program::How::died;
    const bool lacks = program.closing.reason.find("lacks the end") != std::string::npos;
    if (died) until_s -= kOpenBatch_s;
    if (lacks && report_.disk_failed) return 0.0;
    for (const std::size_t place : stage_.begun()) {
      const FaultKind kind = faults_[place].kind;
      if (lacks && (kind == FaultKind::disk_full || kind == FaultKind::archive_busy))
        until_s = std::min(until_s, stage_.begun_at_s(place) - kOpenBatch_s);
    }
    return died || lacks ? before_sleep_s(until_s) : until_s;
  }

  /// Of a computer that slept until then, what it had not handed over when it fell asleep is lost.
  double before_sleep_s(double until_s) const {
    for (const std::size_t place : stage_.begun()) {
      if (faults_[place].kind != FaultKind::suspend) continue;
      const double from_s = stage_.begun_at_s(place);
      const bool slept = from_s < until_s && from_s + faults_[place].value > until_s - kOpenBatch_s;
      if (slept) until_s = from_s - kOpenBatch_s;
    }
    return until_s;
  }

  // Samples are handed over at the latest after a second, or when the exchange under way then is
  // over.
  static constexpr double kOpenBatch_s = 1.0 + kWatch_s;

  void judge_capacity(reports::RunRecord& record) {
    analysis::Recording recording = bench::recording_of(record);
    if (!recording.complete) return;
    const auto discharge = analysis::reference_discharge(recording);
    if (!discharge) return;
    const analysis::Capacity capacity = analysis::capacity_of(recording, *discharge);
    // A current that is read as none although it flows looks the same, where nothing else tells.
    if (capacity.ended_by == analysis::StepEnd::protection_board &&
        !stage_.witness().board_opened() && !current_was_spoilt())
      return fail("the capacity is said to have ended by a protection board that never opened");
    if (current_was_spoilt() || (by_cell(capacity) && a_cell_was_frozen())) return;
    const auto true_ah = true_charge_ah(capacity);
    if (!true_ah) return fail("a capacity is given of a discharge that did not reach its end");
    const double off_ah = std::abs(capacity.charge_ah.value - *true_ah);
    report_.capacity_share = off_ah / capacity.charge_ah.expanded_uncertainty;
    if (report_.capacity_share > kLargestShare)
      fail(fmt::format("the capacity is given as {:.5f} Ah +- {:.5f}; it was {:.5f} Ah",
                       capacity.charge_ah.value, capacity.charge_ah.expanded_uncertainty,
                       *true_ah));
  }

  bool current_was_spoilt() const {
    for (const std::size_t place : stage_.begun())
      if (faults_[place].kind == FaultKind::frozen &&
          faults_[place].which == static_cast<int>(Which::load_current))
        return true;
    return false;
  }

  static bool by_cell(const analysis::Capacity& capacity) {
    return capacity.ended_by == analysis::StepEnd::cell_end_of_discharge;
  }

  bool a_cell_was_frozen() const {
    for (const std::size_t place : stage_.begun())
      if (faults_[place].kind == FaultKind::frozen &&
          faults_[place].which >= static_cast<int>(Which::cell))
        return true;
    return false;
  }

  /// What the readings scatter besides: one of them cannot be told from the truth.
  double noise_v() const {
    double most_v = 0.0;
    for (const std::size_t place : stage_.begun())
      if (faults_[place].kind == FaultKind::noisy) most_v = std::max(most_v, faults_[place].value);
    return most_v;
  }

  // U is for a level of confidence of 95 %: among many thousand sound results one in twenty would
  // be found outside. Where the four largest errors all lie at the end of their class and the same
  // way, a result is off by 1.7 U (JCGM 100, 4.3.7). Twice U is not chance any more.
  static constexpr double kLargestShare = 2.0;

  /// What had really flowed when the voltage that ended the discharge reached its limit.
  std::optional<double> true_charge_ah(const analysis::Capacity& capacity) const {
    const auto& points = stage_.witness().discharge();
    if (points.empty()) return std::nullopt;
    if (capacity.ended_by == analysis::StepEnd::protection_board) return points.back().charge_ah;
    const analysis::Pack pack = bench_and_pack(scene_).pack;
    const bool of_cell = by_cell(capacity);
    const double end_v = of_cell ? analysis::cell_end_of_discharge_v(pack)
                                 : analysis::end_of_discharge_voltage_v(pack);
    // Without a meter the voltage is the load's, and the run says so.
    const auto volts = [&](const Point& p) {
      return of_cell ? p.lowest_cell_v : scene_.meter ? p.pack_v : p.terminals_v;
    };
    for (std::size_t i = 1; i < points.size(); ++i) {
      const double before_v = volts(points[i - 1]) - end_v, after_v = volts(points[i]) - end_v;
      if (before_v > 0.0 && after_v <= 0.0)
        return points[i - 1].charge_ah +
               (points[i].charge_ah - points[i - 1].charge_ah) * before_v / (before_v - after_v);
    }
    // It ended a reading's error above its limit.
    const double error_v =
        bench::accuracy_of(bench_and_pack(scene_).bench).load_voltage.half_width(end_v) +
        3.0 * noise_v();
    if (volts(points.back()) - end_v <= error_v) return points.back().charge_ah;
    return std::nullopt;
  }

  const Scene& scene_;
  const std::vector<Fault>& faults_;
  Stage& stage_;
  const std::string& archive_;
  Report& report_;
};

}  // namespace

void judge(const Scene& scene, const std::vector<Fault>& faults, Stage& stage,
           const std::string& archive, Report& report) {
  Judge(scene, faults, stage, archive, report).judge();
}

}  // namespace sagbench::campaign
