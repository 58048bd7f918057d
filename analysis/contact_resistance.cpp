#include "analysis/contact_resistance.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/resistance_budget.hpp"
#include "analysis/sample_series.hpp"
#include "analysis/straight_line.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kSettled_s = 0.5;  // the two voltages are read one after the other
constexpr int kLeastReadings = 10;
constexpr double kLeastShareOfIt = 0.02;  // how far apart the currents must be

bool settled(const Sample& sample) {
  const bool pattern = sample.phase == Phase::receive || sample.phase == Phase::transmit;
  return !pattern && sample.time_s - sample.commanded_since_s.value_or(0.0) >= kSettled_s;
}

class Fit {
 public:
  void add(const Sample& sample) {
    const double current_a = sample.current_a;
    least_a_ = readings_ == 0 ? current_a : std::min(least_a_, current_a);
    most_a_ = readings_ == 0 ? current_a : std::max(most_a_, current_a);
    ++readings_;
    difference_.add(current_a, sample.voltage_v - *sample.load_voltage_v);
    pack_.add(current_a, sample.voltage_v);
    load_.add(current_a, *sample.load_voltage_v);
  }
  int readings() const { return readings_; }
  double span_a() const { return readings_ == 0 ? 0.0 : most_a_ - least_a_; }

  ContactResistance result(const BenchAccuracy& accuracy) const {
    const double ohm = difference_.slope();
    ContactResistance found;
    found.readings = readings_;
    found.budget.add_normal("standard error of the slope",
                            difference_.residual_sd() * difference_.slope_doubt(), "ohm", 1.0);
    found.budget.add_rectangular("gain of the meter's voltage", accuracy.meter_voltage->of_reading,
                                 "1", pack_.slope());
    found.budget.add_rectangular("gain of the load's voltage", accuracy.load_voltage.of_reading,
                                 "1", -load_.slope());
    found.budget.add_rectangular("gain of the current", accuracy.load_current.of_reading, "1",
                                 -ohm);
    found.ohm = {ohm, kCoverageFactor * found.budget.combined(), kCoverageFactor};
    found.offset_v = offset(accuracy);
    return found;
  }

 private:
  Measured offset(const BenchAccuracy& accuracy) const {
    const double meter_u = rectangular(accuracy.meter_voltage->half_width(pack_.at(0.0)));
    const double load_u = rectangular(accuracy.load_voltage.half_width(load_.at(0.0)));
    const double line_u = difference_.residual_sd() * difference_.doubt_at(0.0);
    return {difference_.at(0.0),
            kCoverageFactor * std::sqrt(meter_u * meter_u + load_u * load_u + line_u * line_u),
            kCoverageFactor};
  }

  StraightLine difference_, pack_, load_;
  double least_a_ = 0.0, most_a_ = 0.0;
  int readings_ = 0;
};

}  // namespace

Finding<ContactResistance> contact_resistance(const Recording& recording) {
  const auto missing = [](const char* why) { return Finding<ContactResistance>::missing(why); };
  Fit fit;
  for (const Sample& sample : recording.samples)
    if (sample.load_voltage_v && settled(sample) && !board_open(sample)) fit.add(sample);
  if (!recording.accuracy.meter_voltage || fit.readings() == 0)
    return missing("it takes a meter beside the load: their voltages were not both read");
  if (fit.readings() < kLeastReadings)
    return missing("too few readings of meter and load under a steady current");
  if (!(fit.span_a() > kLeastShareOfIt * rated_current_it_a(recording.pack)))
    return missing("the current did not change");
  ContactResistance found = fit.result(recording.accuracy);
  if (below_nothing(found.ohm))
    return missing("the load read more than the meter, the more the more current flowed");
  return found;
}

}  // namespace sagbench::analysis
