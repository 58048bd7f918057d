// Where a short rest was heading, against what hours of it lead to, on simulated packs.

#include <cmath>
#include <vector>

#include "analysis/relaxed_voltage.hpp"
#include "analysis/rest_point.hpp"
#include "catch.hpp"
#include "drivers/random.hpp"
#include "everyday_pack.hpp"

namespace sagbench::tests {
namespace {

using analysis::Chemistry;
using namespace drivers::virtual_bench;

/// A pack of everyday spread, discharged at 0.5 It to a charge (lead-acid at 0.2 It, as a
/// peak-current step does), and then left alone.
class Rest {
 public:
  Rest(Chemistry chemistry, std::uint64_t seed, double charge)
      : pack_(world_of(chemistry), seed), meter_(seed, 31) {
    const double rate_it = chemistry == Chemistry::agm ? 0.2 : 0.5;
    pack_.connect({.current_a = rate_it * kRated_ah});
    began_s_ = 3600.0 / rate_it * (1.0 - charge);
    pack_.advance(drivers::from_seconds(began_s_));
    pack_.connect({});
  }
  double began_s() const { return began_s_; }
  /// Read every two seconds by a meter of 0.1 mV noise.
  std::vector<analysis::Reading> read_for(double length_s) {
    std::vector<analysis::Reading> readings;
    for (double after_s = 2.0; after_s <= length_s; after_s += 2.0)
      readings.push_back({began_s_ + after_s, voltage_v(after_s) + 1e-4 * meter_.normal()});
    return readings;
  }
  double voltage_v(double after_s) {
    pack_.advance(drivers::from_seconds(began_s_ + after_s));
    return pack_.sense_v();
  }

 private:
  VirtualPack pack_;
  drivers::Random meter_;
  double began_s_ = 0.0;
};

}  // namespace

// Packs warm by a fraction of a degree and relax in five ways at once, none of which the
// extrapolation knows. Lead-acid is looked at from half an hour on.
TEST_CASE("simulated packs: the interval of a short rest holds what hours lead to") {
  const double length_s = GENERATE(60.0, 120.0, 600.0, 1800.0);
  int inside = 0, all = 0;
  for (const auto chemistry : {Chemistry::lfp, Chemistry::nmc, Chemistry::nimh, Chemistry::agm}) {
    const bool lead_acid = chemistry == Chemistry::agm;
    const auto times = lead_acid ? analysis::kLeadAcidRest : analysis::RestTimes{};
    if (length_s < times.shortest_s) continue;
    for (std::uint64_t seed = 1; seed <= 6; ++seed)
      for (const double charge : {0.8, 0.5, 0.2}) {
        Rest rest(chemistry, seed, charge);
        const auto told = analysis::relaxed_voltage(rest.read_for(length_s), rest.began_s(),
                                                    times.relaxed_after_s);
        REQUIRE(told);
        const double miss_v = told->voltage_v - rest.voltage_v(6.0 * 3600.0);
        ++all;
        if (std::abs(miss_v) <= 2.0 * told->standard_u_v) ++inside;
      }
  }
  CAPTURE(length_s, inside, all);
  CHECK(all >= 54);
  CHECK(inside * 10 >= all * 9);
}

}  // namespace sagbench::tests
