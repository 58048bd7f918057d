// The archive keeps what it is given, numbers it on, and finds it again.
#include "reports/archive.hpp"

#include <sqlite3.h>

#include <limits>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/sample_block.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {
namespace {

using testing::contains;
using testing::example_header;
using testing::example_sample;
using testing::example_samples;
using testing::outcome_of;
using testing::run_sql;
using testing::TemporaryFolder;

void check_equal(const analysis::Sample& found, const analysis::Sample& given) {
  CHECK(found.time_s == given.time_s);
  CHECK(found.round_trip_s == given.round_trip_s);
  CHECK(found.voltage_v == given.voltage_v);
  CHECK(found.current_a == given.current_a);
  CHECK(found.commanded_a == given.commanded_a);
  CHECK(found.commanded_since_s == given.commanded_since_s);
  CHECK(found.load_voltage_v == given.load_voltage_v);
  CHECK(found.temperature_c == given.temperature_c);
  CHECK(found.voltage_age_s == given.voltage_age_s);
  CHECK(found.missed_ticks == given.missed_ticks);
  CHECK(found.cell_v == given.cell_v);
  CHECK(found.step == given.step);
  CHECK(found.phase == given.phase);
}

void check_equal(const RunHeader& found, const RunHeader& given) {
  CHECK(found.utc == given.utc);
  CHECK(found.pack_name == given.pack_name);
  CHECK(found.pack_json == given.pack_json);
  CHECK(found.bench_json == given.bench_json);
  CHECK(found.plan_json == given.plan_json);
  CHECK(found.software == given.software);
  CHECK(found.notes == given.notes);
  REQUIRE(found.instruments.size() == given.instruments.size());
  for (std::size_t i = 0; i < given.instruments.size(); ++i) {
    CHECK(found.instruments[i].role == given.instruments[i].role);
    CHECK(found.instruments[i].identity == given.instruments[i].identity);
    CHECK(found.instruments[i].port == given.instruments[i].port);
    CHECK(found.instruments[i].calibrated == given.instruments[i].calibrated);
  }
}

void check_equal(const StepRow& found, const StepRow& given) {
  CHECK(found.kind == given.kind);
  CHECK(found.parameters_json == given.parameters_json);
  CHECK(found.start_s == given.start_s);
  CHECK(found.end_s == given.end_s);
  CHECK(found.end == given.end);
  CHECK(found.why == given.why);
  CHECK(found.charge_before_ah == given.charge_before_ah);
}

}  // namespace

TEST_CASE("Every field of a run comes back as it was given") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const RunHeader header = example_header();

  analysis::Sample full = example_sample(1);
  full.commanded_since_s = 0.05;
  full.load_voltage_v = 13.1;
  full.temperature_c = -4.75;
  full.cell_v = {3.3, 0.1 + 0.2, 5e-324, std::numeric_limits<double>::max()};
  full.step = std::numeric_limits<std::int32_t>::max();
  full.phase = analysis::Phase::dropped_out;
  full.voltage_age_s = 0.035;
  full.missed_ticks = std::numeric_limits<std::int32_t>::max();
  const analysis::Sample sparse = example_sample(2);
  const StepRow step{
      analysis::StepKind::peak_current,    R"({"do": "peak-current"})",   1.5,  99.25,
      analysis::StepEnd::protection_board, "the current fell to nothing", 0.123};

  std::string id;
  {
    Archive archive(path, Archive::Access::write);
    id = archive.begin_run(header);
    archive.put_step(id, 0, StepRow{});
    archive.put_step(id, 0, step);  // replaces
    archive.append(id, std::vector{full, sparse});
    archive.append_asked(id, std::vector<AskedRow>{{0, {1.5, 0.25}}, {0, {1.75, 4.0}}});
    archive.append_asked(id, std::vector<AskedRow>{{1, {1.5, 0.0}}});
    archive.add_event(id, {0.5, "note", "first"});
    archive.add_event(id, {0.5, "stop", "second"});
    archive.close_run(id, {RunEnd::safety, "pack voltage below its limit", true});
  }
  const RunRecord record = Archive(path, Archive::Access::read).load(id);
  CHECK(record.id == id);
  check_equal(record.header, header);
  REQUIRE(record.steps.size() == 1);
  check_equal(record.steps[0], step);
  REQUIRE(record.samples.size() == 2);
  check_equal(record.samples[0], full);
  check_equal(record.samples[1], sparse);
  REQUIRE(record.asked.size() == 3);
  CHECK(record.asked[0].step == 0);
  CHECK(record.asked[1].asked.start_s == 1.75);
  CHECK(record.asked[1].asked.current_a == 4.0);
  CHECK(record.asked[2].step == 1);
  REQUIRE(record.events.size() == 2);
  CHECK(record.events[0].text == "first");
  CHECK(record.events[1].severity == "stop");
  CHECK(record.events[1].time_s == 0.5);
  CHECK(record.closing.end == RunEnd::safety);
  CHECK(record.closing.reason == "pack voltage below its limit");
  CHECK(record.closing.load_confirmed_off);
}

TEST_CASE("Every kind and end of a step comes back") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  constexpr int kKinds = static_cast<int>(analysis::StepKind::imported) + 1;
  constexpr int kEnds = static_cast<int>(analysis::StepEnd::interrupted) + 1;
  for (int i = 0; i < kEnds; ++i) {
    StepRow step;
    step.kind = static_cast<analysis::StepKind>(i % kKinds);
    step.end = static_cast<analysis::StepEnd>(i);
    archive.put_step(id, i, step);
  }
  const auto steps = archive.load(id).steps;
  REQUIRE(steps.size() == kEnds);
  for (int i = 0; i < kEnds; ++i) {
    CHECK(static_cast<int>(steps[static_cast<std::size_t>(i)].kind) == i % kKinds);
    CHECK(static_cast<int>(steps[static_cast<std::size_t>(i)].end) == i);
  }
  CHECK(contains(outcome_of([&] { archive.put_step(id, kEnds + 1, {}); }).message, "refuses step"));
}

TEST_CASE("A run that was never closed loads as running") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, 3));
  const RunRecord record = archive.load(id);
  CHECK(record.closing.end == RunEnd::running);
  CHECK_FALSE(record.closing.load_confirmed_off);
  CHECK(record.samples.size() == 3);
}

TEST_CASE("A run may be closed as interrupted, opened again and closed for good") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  archive.close_run(id, {RunEnd::interrupted, "the program died", true});
  CHECK(archive.load(id).closing.end == RunEnd::interrupted);
  CHECK(archive.runs()[0].end == RunEnd::interrupted);
  archive.close_run(id, {});
  CHECK(archive.load(id).closing.end == RunEnd::running);
  CHECK(archive.load(id).closing.reason.empty());
  CHECK_FALSE(archive.load(id).closing.load_confirmed_off);
  archive.close_run(id, {RunEnd::done, "", true});
  CHECK(archive.load(id).closing.end == RunEnd::done);
}

TEST_CASE("Gaps come back in order, and one may be written anew") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  const std::string other = archive.begin_run(example_header());
  archive.put_gap(id, 0, {10.0, 20.0, 1.0, 5.0, "first"});
  archive.put_gap(id, 1, {30.0, 35.0, 1.5, 5.0, "second"});
  archive.put_gap(id, 1, {30.0, 60.0, 2.0, 17.0, "longer"});
  const auto gaps = archive.load(id).gaps;
  REQUIRE(gaps.size() == 2);
  CHECK(gaps[0].why == "first");
  CHECK(gaps[1].end_s == 60.0);
  CHECK(gaps[1].current_a == 2.0);
  CHECK(gaps[1].longest_on_s == 17.0);
  CHECK(archive.load(other).gaps.empty());
}

TEST_CASE("A later run of the same pack on a bench is found, and imports and other packs are not") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  RunHeader header = example_header();
  const std::string first = archive.begin_run(header);
  CHECK_FALSE(archive.run_after(first));
  RunHeader other = header;
  other.pack_name = "another";
  archive.begin_run(other);
  RunHeader import = header;
  import.bench_json.clear();
  archive.begin_run(import);
  CHECK_FALSE(archive.run_after(first));
  const std::string later = archive.begin_run(header);
  archive.begin_run(header);
  CHECK(archive.run_after(first) == later);
}

TEST_CASE("Samples are numbered on, over several openings and between two runs") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  RunHeader other = example_header();
  other.pack_name = "another";
  std::string first;
  std::string second;
  for (int opening = 0; opening < 3; ++opening) {
    Archive archive(path, Archive::Access::write, Archive::Durability::process_crash);
    if (opening == 0) {
      first = archive.begin_run(example_header());
      second = archive.begin_run(other);
    }
    archive.append(first, example_samples(10 * opening, 5));
    archive.append(second, example_samples(100 * opening, 2));
    archive.append(first, example_samples(10 * opening + 5, 5));
  }
  const Archive archive(path, Archive::Access::read);
  const auto samples = archive.load(first).samples;
  REQUIRE(samples.size() == 30);
  for (int i = 0; i < 30; ++i) {
    CHECK(samples[static_cast<std::size_t>(i)].time_s == example_sample(i).time_s);
  }
  CHECK(archive.load(second).samples.size() == 6);
}

TEST_CASE("Names pass unchanged, whatever bytes they hold") {
  const std::string name = GENERATE(std::string("Grüße ⚡ 電池"), std::string("a\0b\n\t\x01", 6),
                                    std::string("broken \xff\xc3 UTF-8"), std::string());
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  RunHeader header = example_header();
  header.pack_name = name;
  header.notes = {name};
  const std::string id = archive.begin_run(header);
  archive.add_event(id, {0.0, "note", name});
  const RunRecord record = archive.load(id);
  CHECK(record.header.pack_name == name);
  CHECK(record.header.notes == std::vector{name});
  CHECK(record.events.at(0).text == name);
  CHECK(archive.runs().at(0).pack_name == name);
}

TEST_CASE("An id tells the time, is the same for the same header, and never twice the same") {
  const TemporaryFolder folder;
  Archive archive(folder.file("a.db"), Archive::Access::write);
  Archive twin(folder.file("b.db"), Archive::Access::write);
  const std::string first = archive.begin_run(example_header());
  CHECK(first.size() == 20);
  CHECK(first.substr(0, 16) == "20260301-080509-");
  const std::string second = archive.begin_run(example_header());
  CHECK(second != first);
  CHECK(twin.begin_run(example_header()) == first);
  CHECK(twin.begin_run(example_header()) == second);

  RunHeader other = example_header();
  other.instruments[1].calibrated = "2025-01-01";
  CHECK(Archive(folder.file("c.db"), Archive::Access::write).begin_run(other) != first);

  other.utc = "yesterday";
  const auto refused = outcome_of([&] { archive.begin_run(other); });
  CHECK(refused.user);
  CHECK(contains(refused.message, "\"yesterday\""));
}

TEST_CASE("Three hundred runs with the same header all get an id of their own") {
  const TemporaryFolder folder;
  Archive archive(folder.file("a.db"), Archive::Access::write, Archive::Durability::process_crash);
  std::vector<std::string> ids;
  archive.transaction([&] {
    for (int i = 0; i < 300; ++i) ids.push_back(archive.begin_run(example_header()));
  });
  std::sort(ids.begin(), ids.end());
  CHECK(std::adjacent_find(ids.begin(), ids.end()) == ids.end());
  CHECK(archive.runs().size() == 300);
}

TEST_CASE("A unique beginning of an id finds the run") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string march = archive.begin_run(example_header());
  RunHeader later = example_header();
  later.utc = "2026-04-01T08:05:09Z";
  const std::string april = archive.begin_run(later);

  CHECK(archive.find_run("202603") == march);
  CHECK(archive.find_run(april) == april);
  CHECK(archive.load("202604").id == april);

  const auto several = outcome_of([&] { archive.find_run("2026"); });
  CHECK(several.user);
  CHECK(contains(several.message, march));
  CHECK(contains(several.message, april));
  const auto none = outcome_of([&] { archive.find_run("2027"); });
  CHECK(none.user);
  CHECK(contains(none.message, "no run \"2027\""));
  // No pattern characters: what is typed is what is looked for.
  CHECK(outcome_of([&] { archive.find_run("2026%"); }).user);
  CHECK(outcome_of([&] { archive.find_run("202604_"); }).user);
}

TEST_CASE("Runs are listed newest first, with what they hold") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  RunHeader later = example_header();
  later.utc = "2026-04-01T08:05:09Z";
  const std::string newest = archive.begin_run(later);
  const std::string oldest = archive.begin_run(example_header());
  archive.append(oldest, example_samples(0, 11));
  archive.close_run(oldest, {RunEnd::done, "", true});

  const auto runs = archive.runs();
  REQUIRE(runs.size() == 2);
  CHECK(runs[0].id == newest);
  CHECK(runs[0].samples == 0);
  CHECK(runs[0].duration_s == 0.0);
  CHECK(runs[0].end == RunEnd::running);
  CHECK(runs[1].id == oldest);
  CHECK(runs[1].utc == example_header().utc);
  CHECK(runs[1].samples == 11);
  CHECK(runs[1].duration_s == Approx(1.0));
  CHECK(runs[1].pack_json == example_header().pack_json);
  CHECK(runs[1].end == RunEnd::done);
}

TEST_CASE("A group of changes is kept whole or not at all") {
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, 2));
  CHECK_THROWS_AS(archive.transaction([&] {
    archive.append(id, example_samples(2, 5));
    archive.transaction([&] { archive.add_event(id, {1.0, "note", "lost with the rest"}); });
    throw std::runtime_error("the work failed");
  }),
                  std::runtime_error);
  CHECK(archive.load(id).samples.size() == 2);
  CHECK(archive.load(id).events.empty());

  archive.append(id, example_samples(2, 1));  // numbering is where the file is, not where it was
  CHECK(archive.load(id).samples.size() == 3);

  // A failure inside cannot be swallowed and the rest kept.
  CHECK_THROWS_AS(archive.transaction([&] {
    archive.append(id, example_samples(3, 1));
    CHECK_FALSE(
        outcome_of([&] { archive.append("nobody", example_samples(0, 1)); }).message.empty());
  }),
                  ArchiveError);
  CHECK(archive.load(id).samples.size() == 3);
}

TEST_CASE("A sample that is no measurement is refused, and its whole batch with it") {
  const double bad =
      GENERATE(std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity());
  const int field = GENERATE(range(0, 5));
  const TemporaryFolder folder;
  Archive archive(folder.file("club.db"), Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  auto samples = example_samples(0, 3);
  if (field == 0) samples[1].voltage_v = bad;
  if (field == 1) samples[1].current_a = bad;
  if (field == 2) samples[1].temperature_c = bad;
  if (field == 3) samples[1].cell_v = {3.3, bad};
  if (field == 4) samples[1].time_s = bad;
  CHECK(contains(outcome_of([&] { archive.append(id, samples); }).message, "finite"));
  CHECK(archive.load(id).samples.empty());
}

TEST_CASE("A reader sees a whole batch or none of it while a writer is at work") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive writer(path, Archive::Access::write, Archive::Durability::process_crash);
  const std::string id = writer.begin_run(example_header());
  const Archive reader(path, Archive::Access::read);
  writer.transaction([&] {
    writer.append(id, example_samples(0, 10));
    CHECK(reader.load(id).samples.empty());
  });
  CHECK(reader.load(id).samples.size() == 10);
}

TEST_CASE("What was opened to be read cannot be changed") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  const std::string id = Archive(path, Archive::Access::write).begin_run(example_header());
  Archive reader(path, Archive::Access::read);
  CHECK_THROWS_AS(reader.append(id, example_samples(0, 1)), ArchiveError);
  CHECK(reader.load(id).samples.empty());
}

/// As long as three blocks and a bit.
constexpr int kLong = 3 * static_cast<int>(kSamplesInBlock) + 17;

std::int64_t count(const std::string& path, const char* sql) {
  return Database(path, path, SQLITE_OPEN_READONLY).integer(sql);
}

TEST_CASE("Full blocks of samples are packed while a run goes on, the rest when it ends") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  const std::string other = archive.begin_run(example_header());
  for (int first = 0; first < kLong; first += 500) {
    archive.append(id, example_samples(first, std::min(500, kLong - first)));
    archive.append(other, example_samples(first, 1));
  }
  CHECK(count(path, "SELECT count(*) FROM sample_block") == 3);
  CHECK(count(path, "SELECT count(*) FROM sample WHERE run = 1") == 17);
  CHECK(archive.load(id).samples.size() == static_cast<std::size_t>(kLong));
  CHECK(archive.runs().back().samples == kLong);

  archive.close_run(id, {RunEnd::interrupted, "it died", true});
  CHECK(count(path, "SELECT count(*) FROM sample_block") == 4);
  CHECK(count(path, "SELECT count(*) FROM sample WHERE run = 1") == 0);
  archive.close_run(id, {RunEnd::running, "", false});
  archive.append(id, example_samples(kLong, 3));
  CHECK(count(path, "SELECT count(*) FROM sample WHERE run = 1") ==
        20);  // only the last is not full
  archive.close_run(id, {RunEnd::done, "", true});
  CHECK(count(path, "SELECT count(*) FROM sample_block") == 4);

  const auto samples = Archive(path, Archive::Access::read).load(id).samples;
  REQUIRE(samples.size() == static_cast<std::size_t>(kLong + 3));
  for (int i = 0; i < kLong + 3; ++i) {
    const analysis::Sample expected = example_samples(i, 1).front();
    REQUIRE(samples[static_cast<std::size_t>(i)].time_s == expected.time_s);
    REQUIRE(samples[static_cast<std::size_t>(i)].current_a == expected.current_a);
  }
  const RunSummary summary = archive.runs().back();
  CHECK(summary.samples == kLong + 3);
  CHECK(summary.duration_s == samples.back().time_s);
  CHECK(archive.load(other).samples.size() == 25);
}

TEST_CASE("Many samples at once are packed at once, what is left of them when the run ends") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  archive.append(id, example_samples(0, kLong));
  CHECK(count(path, "SELECT count(*) FROM sample_block") == 3);
  archive.append(id, example_samples(kLong, kLong));  // behind the rows that wait
  CHECK(count(path, "SELECT sum(count) FROM sample_block") == 6 * 4096);
  archive.close_run(id, {RunEnd::done, "", true});
  CHECK(count(path, "SELECT count(*) FROM sample") == 0);
  const auto samples = archive.load(id).samples;
  REQUIRE(samples.size() == std::size_t{2 * kLong});
  for (int i = 0; i < 2 * kLong; ++i)
    REQUIRE(samples[static_cast<std::size_t>(i)].time_s == example_sample(i).time_s);
}

TEST_CASE("Packing that fails half way leaves each sample where it was, and is tried again") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const std::string id = archive.begin_run(example_header());
  // The block stands already when the rows refuse to go.
  run_sql(path,
          "CREATE TRIGGER refuse BEFORE DELETE ON sample BEGIN SELECT raise(ABORT, 'no'); END");
  for (int first = 0; first < 5000; first += 1000) archive.append(id, example_samples(first, 1000));
  archive.close_run(id, {RunEnd::operator_stop, "enough", true});
  CHECK(count(path, "SELECT count(*) FROM sample_block") == 0);
  CHECK(archive.load(id).samples.size() == 5000);
  CHECK(archive.load(id).closing.end == RunEnd::operator_stop);

  run_sql(path, "DROP TRIGGER refuse");
  archive.close_run(id, {RunEnd::running, "", false});
  archive.append(id, example_samples(5000, 100));
  CHECK(count(path, "SELECT count(*) FROM sample_block") == 1);
  CHECK(count(path, "SELECT count(*) FROM sample") == 5100 - 4096);
  const auto samples = archive.load(id).samples;
  REQUIRE(samples.size() == 5100);
  for (int i = 0; i < 5100; ++i)
    REQUIRE(samples[static_cast<std::size_t>(i)].time_s == example_sample(i).time_s);
}

TEST_CASE("Damage to a block is said with the samples it held") {
  const char* const change = GENERATE("UPDATE sample_block SET data = x'00' WHERE seq = 4096",
                                      "UPDATE sample_block SET count = 4095 WHERE seq = 4096",
                                      "DELETE FROM sample_block WHERE seq = 4096");
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  std::string id;
  {
    Archive archive(path, Archive::Access::write);
    id = archive.begin_run(example_header());
    archive.append(id, example_samples(0, kLong));
  }
  run_sql(path, change);
  const auto refused = outcome_of([&] { Archive(path, Archive::Access::read).load(id); });
  CHECK_FALSE(refused.user);
  CHECK(contains(refused.message, path + ": is damaged"));
  CHECK(contains(refused.message, "samples 4096 to 819"));
}

TEST_CASE("Values no version ever wrote are called damage") {
  struct Case {
    const char* sql;
    const char* told;
  };
  const auto [change, told] =
      GENERATE(Case{"UPDATE sample SET phase = 200", "unknown phase 200"},
               Case{"UPDATE run SET end_code = 17", "unknown run end 17"},
               Case{"UPDATE step SET kind = 'charge'", "unknown step kind \"charge\""},
               Case{"UPDATE step SET end_reason = 'tired'", "unknown step end \"tired\""},
               Case{"UPDATE step SET step = 1", "step 0 is missing"},
               Case{"UPDATE sample SET cell_V = '[3.3,'", "cell voltages \"[3.3,\""},
               Case{"DELETE FROM sample WHERE seq = 1", "only 2 of 3 samples are there"});
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  std::string id;
  {
    Archive archive(path, Archive::Access::write);
    id = archive.begin_run(example_header());
    archive.put_step(id, 0, {});
    archive.append(id, example_samples(0, 3));
  }
  run_sql(path, change);
  const auto refused = outcome_of([&] { Archive(path, Archive::Access::read).load(id); });
  CHECK_FALSE(refused.user);
  CHECK(refused.message == path + ": is damaged; restore it from a copy (" + told + ")");
}

}  // namespace sagbench::reports
