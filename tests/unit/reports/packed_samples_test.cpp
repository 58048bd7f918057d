// Samples that were packed before their transaction are kept as others are.
#include <limits>

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/archive_check.hpp"
#include "reports/sqlite_database.hpp"

namespace sagbench::reports {
namespace {

using testing::contains;
using testing::example_header;
using testing::example_samples;
using testing::outcome_of;
using testing::TemporaryFolder;

}  // namespace

TEST_CASE("Packed samples of a run give the same run as samples that come one by one") {
  const TemporaryFolder folder;
  const std::string path = folder.file("club.db");
  Archive archive(path, Archive::Access::write);
  const int before = GENERATE(0, 1, 4096, 5000);
  const auto all = example_samples(0, 20000);
  std::string ids[2];
  for (const bool packed : {false, true}) {
    std::string& id = ids[packed ? 1 : 0];
    id = archive.begin_run(example_header());
    const std::span first = std::span(all).first(static_cast<std::size_t>(before));
    const std::span rest = std::span(all).subspan(first.size());
    archive.append(id, first);
    if (packed)
      archive.append(id, archive.pack(rest));
    else
      archive.append(id, rest);
    archive.close_run(id, {RunEnd::done, "", true});
  }
  CHECK(archive.load(ids[1]).samples.size() == all.size());
  const Database database(path, path, SQLITE_OPEN_READONLY);
  // Their seals tell of each sample.
  CHECK(database.integer("SELECT count(*) FROM seal AS one JOIN seal AS other USING (part, first,"
                         " count, sha256, pieces) WHERE one.run = 1 AND other.run = 2"
                         " AND part = 'sample'") == 5);
  CHECK(check_archive(path, std::nullopt).sound());
}

TEST_CASE("What is not finite is not packed") {
  const TemporaryFolder folder;
  const Archive archive(folder.file("club.db"), Archive::Access::write);
  auto samples = example_samples(0, 5000);
  samples[4500].voltage_v = std::numeric_limits<double>::quiet_NaN();
  CHECK(contains(outcome_of([&] { archive.pack(samples); }).message, "not a finite number"));
}

}  // namespace sagbench::reports
