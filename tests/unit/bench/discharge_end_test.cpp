#include "bench/steps/discharge_end.hpp"

#include "catch.hpp"

using namespace sagbench;
using namespace sagbench::bench;
using analysis::StepEnd;

namespace {

analysis::Pack lfp4() {
  analysis::Pack pack;
  pack.series = 4;
  pack.rated_capacity_ah = 10.0;
  return pack;
}

analysis::Sample sample_at(double time_s, double voltage_v, double current_a = 2.0) {
  analysis::Sample sample;
  sample.time_s = time_s;
  sample.voltage_v = voltage_v;
  sample.current_a = current_a;
  sample.commanded_a = 2.0;
  sample.commanded_since_s = 0.0;
  return sample;
}

}  // namespace

TEST_CASE("ends of a discharge: pack, weakest cell, vanished current") {
  CHECK_FALSE(end_reached(sample_at(10, 10.001), lfp4()));
  CHECK(end_reached(sample_at(10, 10.0), lfp4()) == StepEnd::end_of_discharge);
  auto sample = sample_at(10, 12.0);
  sample.cell_v = {3.2, 3.2, 2.5, 3.1};
  CHECK(end_reached(sample, lfp4()) == StepEnd::cell_end_of_discharge);
  CHECK(describe(StepEnd::cell_end_of_discharge, sample, lfp4()) ==
        "cell 3 reached 2.50 V while the pack still had 12.00 V");
  CHECK(end_reached(sample_at(10, 0.3, 0.0), lfp4()) == StepEnd::protection_board);
  CHECK(describe(StepEnd::protection_board, sample_at(10, 0.3, 0.0), lfp4()) ==
        "the current vanished at 2.00 A asked for: a fuse or a lead opened");
  CHECK_FALSE(end_reached(sample_at(0.1, 12.0, 0.0), lfp4()));  // just switched on
  // A sense lead that came off: the voltage is gone and the current is not.
  CHECK(end_reached(sample_at(10, 2.501), lfp4()) == StepEnd::end_of_discharge);
  CHECK_FALSE(end_reached(sample_at(10, 2.5), lfp4()));
  // A board that opened between the two readings of the first sample.
  CHECK_FALSE(end_reached(sample_at(0.1, 0.01), lfp4()));
}

TEST_CASE("sampling quickens near the end voltage and never stalls") {
  Pace pace(lfp4(), 2.0);
  CHECK(pace.interval_s(sample_at(0, 13.0)) == Approx(2.0));
  CHECK(pace.interval_s(sample_at(2, 12.999)) == Approx(2.0));
  // 0.1 V a second: the end is 5 s away from 10.5 V.
  Pace falling(lfp4(), 2.0);
  falling.interval_s(sample_at(0, 11.0));
  const double interval_s = falling.interval_s(sample_at(5, 10.5));
  CHECK(interval_s > 0.1);
  CHECK(interval_s < 1.0);
  CHECK(falling.interval_s(sample_at(9.9, 10.01)) < 0.1);
  CHECK(falling.interval_s(sample_at(10.0, 9.9)) > 0.0);
}
