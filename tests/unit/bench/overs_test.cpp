#include "bench/radio/overs.hpp"

#include <algorithm>
#include <vector>

#include "catch.hpp"

namespace sagbench::bench {
namespace {

struct Alternated {
  std::vector<double> overs_s, receptions_s;
  double sent_s = 0.0, received_s = 0.0;
};

Alternated alternate(Rhythm rhythm, double share, int overs, std::uint64_t seed) {
  Overs lengths(rhythm, share, seed);
  Alternated result;
  for (int i = 0; i < overs; ++i) {
    result.overs_s.push_back(lengths.over_s());
    lengths.sent(result.overs_s.back());
    result.receptions_s.push_back(lengths.reception_s());
    result.sent_s += result.overs_s.back();
    result.received_s += result.receptions_s.back();
  }
  return result;
}

}  // namespace

TEST_CASE("every rhythm transmits its share in the long run, and is never far behind") {
  for (const auto rhythm : {Rhythm::share, Rhythm::qso, Rhythm::contest}) {
    for (const double share : {0.05, 0.33, 0.9, 1.0}) {
      for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Alternated played = alternate(rhythm, share, 1000, seed);
        CHECK(played.sent_s / (played.sent_s + played.received_s) == Approx(share).epsilon(0.005));
        CHECK(*std::min_element(played.overs_s.begin(), played.overs_s.end()) > 0.0);
      }
    }
  }
}

TEST_CASE("a conversation has uneven overs up to a minute and a half, a contest short ones") {
  const Alternated talk = alternate(Rhythm::qso, 0.4, 200, 2);
  const Alternated contest = alternate(Rhythm::contest, 0.4, 200, 2);
  const auto longest = [](const Alternated& played) {
    return *std::max_element(played.overs_s.begin(), played.overs_s.end());
  };
  const auto shortest = [](const Alternated& played) {
    return *std::min_element(played.overs_s.begin(), played.overs_s.end());
  };
  CHECK(longest(talk) <= 90.0);
  CHECK(longest(talk) > 60.0);
  CHECK(shortest(talk) >= 8.0);
  CHECK(longest(contest) <= 6.0);
  CHECK(shortest(contest) >= 1.0);
  CHECK(*std::min_element(contest.receptions_s.begin(), contest.receptions_s.end()) > 0.0);
}

TEST_CASE("one over a minute where only the share is kept") {
  const Alternated played = alternate(Rhythm::share, 0.25, 10, 3);
  for (std::size_t i = 0; i < 10; ++i) {
    CHECK(played.overs_s[i] == Approx(15.0));
    CHECK(played.receptions_s[i] == Approx(45.0));
  }
}

}  // namespace sagbench::bench
