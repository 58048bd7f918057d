// Hashes that anybody can make again: the standard's own examples, and the seals' stability.
#include "reports/seal.hpp"

#include "archive_fixture.hpp"
#include "catch.hpp"
#include "reports/alteration.hpp"

namespace sagbench::reports {
namespace {

using testing::example_samples;

std::string sha256(std::string_view text) {
  Sha256 hash;
  hash.add(text.substr(0, text.size() / 2));
  hash.add(text.substr(text.size() / 2));
  return hex(hash.finish());
}

Seal events(const std::vector<std::pair<std::int64_t, std::string>>& rows) {
  Sealer sealer("event", 0);
  for (const auto& [number, text] : rows) sealer.row(number).text(text);
  return sealer.finish();
}

std::string told(const Seal& sealed, const Seal& found) {
  std::string text;
  for (const Alteration& alteration : differences(sealed, found))
    text += words_on(alteration) + "; ";
  return text;
}

}  // namespace

// FIPS 180-4's examples, from NIST's "Example Values", SHA256.
TEST_CASE("SHA-256 gives the standard's digests, one after the other") {
  CHECK(sha256("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  Sha256 hash;
  for (int times = 0; times < 2; ++times) {
    hash.add("abc");
    CHECK(hex(hash.finish()) == sha256("abc"));
  }
}

TEST_CASE("No two rows have the same bytes") {
  const auto of = [](auto&&... put) {
    RowBytes row;
    (put(row), ...);
    return std::string(row.bytes());
  };
  const auto text = [](std::string_view value) {
    return [value](RowBytes& row) { row.text(value); };
  };
  CHECK(of(text("ab"), text("c")) != of(text("a"), text("bc")));
  CHECK(of(text("")) != of([](RowBytes& row) { row.nothing(); }));
  CHECK(of(text("1")) != of([](RowBytes& row) { row.blob("1"); }));
  CHECK(of([](RowBytes& row) { row.whole(1); }) != of([](RowBytes& row) { row.real(1.0); }));
  CHECK(of([](RowBytes& row) { row.real(-0.0); }) == of([](RowBytes& row) { row.real(0.0); }));
  CHECK(of([](RowBytes& row) { row.whole(-2); }) ==
        std::string("i\xff\xff\xff\xff\xff\xff\xff\xfe"));
  CHECK(of([](RowBytes& row) { row.real(1.0); }) == std::string("r\x3f\xf0\0\0\0\0\0\0", 9));
}

TEST_CASE("A change of rows is placed") {
  const Seal sealed = events({{0, "a"}, {1, "b"}, {2, "c"}, {3, "d"}, {4, "e"}});
  CHECK(told(sealed, sealed).empty());
  CHECK(told(sealed, events({{0, "a"}, {1, "b"}, {2, "c"}, {3, "d"}})) == "event 4 is missing; ");
  CHECK(told(sealed, events({{0, "a"}, {3, "d"}, {4, "e"}})) == "events 1 to 2 are missing; ");
  CHECK(told(sealed, events({{0, "x"}, {1, "b"}, {2, "x"}, {3, "d"}, {4, "e"}})) ==
        "event 0 differs; event 2 differs; ");
  CHECK(told(events({}), sealed) == "events 0 to 4 were added; ");
  CHECK(told(sealed, events({})) == "events 0 to 4 are missing; ");
  // Twice the same number.
  CHECK(told(sealed, events({{0, "a"}, {1, "b"}, {1, "b"}, {2, "c"}, {3, "d"}, {4, "e"}})) ==
        "event 1 differs; ");
}

TEST_CASE("Every field of a sample counts") {
  using analysis::Sample;
  const auto given = example_samples(0, 100);
  void (*const change)(Sample&) = GENERATE(
      +[](Sample& s) { s.time_s += 1e-9; }, +[](Sample& s) { s.round_trip_s = 0.0; },
      +[](Sample& s) { s.voltage_v = 13.0; }, +[](Sample& s) { s.current_a = 0.0; },
      +[](Sample& s) { s.commanded_a = 0.0; }, +[](Sample& s) { s.commanded_since_s = 0.0; },
      +[](Sample& s) { s.load_voltage_v = 0.0; }, +[](Sample& s) { s.temperature_c = 0.0; },
      +[](Sample& s) { s.cell_v = {3.3}; }, +[](Sample& s) { s.step = 9; },
      +[](Sample& s) { s.phase = analysis::Phase::peak; },
      +[](Sample& s) { s.voltage_age_s = 0.0; }, +[](Sample& s) { s.missed_ticks = 1; });
  auto changed = given;
  change(changed[70]);
  CHECK(told(seal_of_samples(4096, given), seal_of_samples(4096, changed)) ==
        "samples 4160 to 4195 differ; ");
  CHECK(seal_of_samples(0, given) != seal_of_samples(4096, given));
}

TEST_CASE("A run's hash is over all seals and the stamp") {
  const std::vector<Seal> seals = {events({{0, "a"}}), seal_of_samples(0, example_samples(0, 3))};
  CHECK(seal_list(seals, "") ==
        "sagbench seal 1\nevent 0 1 " + seals[0].sha256 + "\nsample 0 3 " + seals[1].sha256 + "\n");
  CHECK(run_hash(seals, "") == sha256(seal_list(seals, "")));
  CHECK(run_hash(seals, "") != run_hash({seals[1], seals[0]}, ""));
  CHECK(run_hash(seals, "") != run_hash(seals, "2026-11-26T00:00:00Z"));
}

}  // namespace sagbench::reports
