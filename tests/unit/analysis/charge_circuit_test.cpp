// A circuit over charge, fitted to records of packs that are such a circuit, so that its values are
// known.
#include "analysis/charge_circuit_fit.hpp"

#include <cmath>
#include <limits>
#include <random>

#include "analysis/circuit_candidates.hpp"
#include "catch.hpp"
#include "run_builder.hpp"

using namespace sagbench::analysis;
using sagbench::analysis::testing::mentions;

namespace {

constexpr double kFull_ah = 10.0;

struct TrueBranch {
  double ohm;
  double tau_s;
};

/// Voltage = 13.4 - slope q - R0 i - branches; R0 grows by `growth` from full to empty.
struct TruePack {
  double slope_v_per_ah = 0.0;
  double r0_ohm = 0.02;
  double growth = 0.0;
  std::vector<TrueBranch> branches = {{0.01, 3.0}};
};

/// Pulses of 10 s and rests of 30 s at some charges, and a steady discharge between them.
class Record {
 public:
  explicit Record(TruePack pack) : pack_(std::move(pack)), drops_v_(pack_.branches.size()) {
    read(0.0, 0.0);
  }

  void hold(double current_a, double seconds, double every_s = 0.1) {
    const auto count = static_cast<int>(std::lround(seconds / every_s));
    for (int i = 0; i < count; ++i) read(current_a, every_s);
  }
  void pulses() {
    for (const double current_a : {5.0, 10.0, 20.0}) {
      hold(current_a, 10.0);
      hold(0.0, 30.0);
    }
  }
  void whole_run() {
    for (int visit = 0; visit < 4; ++visit) {
      hold(0.0, 60.0);
      pulses();
      hold(2.0, 3600.0, 1.0);
    }
  }
  /// Exact for a current that stands: a branch goes to R i by exp(-t / tau).
  void read(double current_a, double seconds) {
    removed_ah_ += current_a * seconds / 3600.0;
    double voltage_v = 13.4 - pack_.slope_v_per_ah * removed_ah_;
    voltage_v -= pack_.r0_ohm * (1.0 + pack_.growth * removed_ah_ / kFull_ah) * current_a;
    for (std::size_t k = 0; k < drops_v_.size(); ++k) {
      const double end_v = pack_.branches[k].ohm * current_a;
      drops_v_[k] = end_v + (drops_v_[k] - end_v) * std::exp(-seconds / pack_.branches[k].tau_s);
      voltage_v -= drops_v_[k];
    }
    time_s_ += seconds;
    train.push_back({.time_s = time_s_,
                     .after_s = seconds,
                     .before_a = current_a_,
                     .current_a = current_a,
                     .voltage_v = voltage_v,
                     .removed_ah = removed_ah_});
    current_a_ = current_a;
  }
  Finding<ChargeCircuit> fit() const { return fit_charge_circuit({&train, 1}, kFull_ah); }

  PulseTrain train;

 private:
  TruePack pack_;
  std::vector<double> drops_v_;
  double time_s_ = 0.0;
  double removed_ah_ = 0.0;
  double current_a_ = 0.0;
};

void add_noise(PulseTrain& train, double sd_v, unsigned seed) {
  std::mt19937 engine(seed);
  std::normal_distribution<double> noise(0.0, sd_v);
  for (PulseReading& reading : train) reading.voltage_v += noise(engine);
}

}  // namespace

TEST_CASE("a constant source with a resistance and one branch comes back to six digits") {
  Record record({});
  record.whole_run();
  const auto circuit = record.fit();
  CAPTURE(circuit.why());
  REQUIRE(circuit);
  REQUIRE(circuit->branches.size() == 1);
  CHECK(circuit->branches[0].tau_s.value == Approx(3.0).epsilon(1e-6));
  for (const Fitted& ohm : circuit->branches[0].ohm.values)
    CHECK(ohm.value == Approx(0.01).epsilon(1e-6));
  for (const Fitted& ohm : circuit->r0_ohm.values) CHECK(ohm.value == Approx(0.02).epsilon(1e-6));
  for (const Fitted& source : circuit->source_v.values)
    CHECK(source.value == Approx(13.4).epsilon(1e-6));
  CHECK(circuit->outliers == 0);
}

TEST_CASE("two branches and a resistance that grows with the charge removed") {
  Record record({.slope_v_per_ah = 0.08, .growth = 0.5, .branches = {{0.01, 1.5}, {0.008, 20.0}}});
  record.whole_run();
  const auto circuit = record.fit();
  CAPTURE(circuit.why());
  REQUIRE(circuit);
  REQUIRE(circuit->branches.size() == 2);
  CHECK(circuit->branches[0].tau_s.value == Approx(1.5).epsilon(0.01));
  CHECK(circuit->branches[1].tau_s.value == Approx(20.0).epsilon(0.01));
  const auto& visits = circuit->r0_ohm.removed_ah;
  REQUIRE(visits.size() == 4);
  for (const double removed_ah : visits) {
    CHECK(circuit->r0_ohm.at(removed_ah) ==
          Approx(0.02 * (1.0 + 0.5 * removed_ah / kFull_ah)).epsilon(0.01));
    CHECK(circuit->branches[0].ohm.at(removed_ah) == Approx(0.01).epsilon(0.01));
    CHECK(circuit->source_v.at(removed_ah) == Approx(13.4 - 0.08 * removed_ah).margin(0.002));
  }
}

TEST_CASE("noise alone is told as white, and standard errors are as large as what it does") {
  double squares = 0.0;
  constexpr int kTrials = 30;
  int white = 0;
  for (unsigned seed = 1; seed <= kTrials; ++seed) {
    Record record({});
    record.whole_run();
    add_noise(record.train, 0.002, seed);
    const auto circuit = record.fit();
    CAPTURE(seed, circuit.why());
    REQUIRE(circuit);
    REQUIRE(circuit->branches.size() == 1);
    const Fitted& tau_s = circuit->branches[0].tau_s;
    const double off = (tau_s.value - 3.0) / tau_s.standard_error;
    CHECK(std::abs(off) < 4.0);
    squares += off * off;
    if (circuit->white) ++white;
    CHECK(circuit->residual_rms_v == Approx(0.002).epsilon(0.05));
  }
  const double ratio = std::sqrt(squares / kTrials);  // 1 but for chance: 1 / sqrt(60) = 0.13
  CHECK(ratio > 0.6);
  CHECK(ratio < 1.4);
  CHECK(white >= kTrials - 4);  // 28.5 are expected, give or take 1.2
}

TEST_CASE("a few wild readings move it little, and are counted") {
  Record record({});
  record.whole_run();
  add_noise(record.train, 0.001, 1);
  for (std::size_t i = 500; i < record.train.size(); i += 500) record.train[i].voltage_v -= 3.0;
  const auto circuit = record.fit();
  CAPTURE(circuit.why());
  REQUIRE(circuit);
  CHECK(circuit->branches[0].tau_s.value == Approx(3.0).epsilon(0.05));
  CHECK(circuit->outliers == (record.train.size() - 1) / 500);
}

TEST_CASE("the correlation matrix is one") {
  Record record({});
  record.whole_run();
  add_noise(record.train, 0.001, 2);
  const auto circuit = record.fit();
  REQUIRE(circuit);
  const auto size = static_cast<std::size_t>(std::lround(std::sqrt(circuit->correlation.size())));
  REQUIRE(size * size == circuit->correlation.size());
  CHECK(size == circuit->source_v.values.size() + 2 * circuit->r0_ohm.values.size() + 1);
  for (std::size_t i = 0; i < size; ++i) {
    CHECK(circuit->correlation[i * size + i] == Approx(1.0));
    for (std::size_t k = 0; k < i; ++k) {
      CHECK(std::abs(circuit->correlation[i * size + k]) <= 1.0 + 1e-9);
      CHECK(circuit->correlation[i * size + k] == Approx(circuit->correlation[k * size + i]));
    }
  }
}

TEST_CASE("a pack that is no such circuit is said not to fit") {
  Record record({});
  record.whole_run();
  // Its sag at once grows with the square root of the current.
  for (PulseReading& reading : record.train)
    reading.voltage_v -= 0.3 * std::sqrt(reading.current_a);
  const auto circuit = record.fit();
  REQUIRE_FALSE(circuit);
  CHECK(mentions(circuit.why(), "mV would do"));
}

TEST_CASE("a way down that has not come to its end says so") {
  Record record({});
  record.whole_run();
  const auto ends = [&record] {
    const CircuitTask task({&record.train, 1}, kFull_ah);
    const CircuitCandidate best = circuit_candidates(task).front();
    const CircuitSystem system(task.record, best.branches);
    CircuitParameters parameters = best.parameters;
    const double huber_v = task.allowed_v(system, parameters);
    return improve(system, task.range, huber_v, parameters);
  };
  CHECK(ends());
  for (PulseReading& reading : record.train)
    reading.voltage_v -= 0.3 * std::sqrt(reading.current_a);
  CHECK_FALSE(ends());
}

TEST_CASE("records that hold no circuit") {
  Record steady({});
  CHECK(mentions(fit_charge_circuit({}, kFull_ah).why(), "empty"));
  steady.hold(2.0, 600.0);
  steady.train.erase(steady.train.begin());
  CHECK(mentions(steady.fit().why(), "never changes"));

  Record seldom({});
  for (int i = 0; i < 60; ++i) {
    seldom.hold(0.0, 300.0, 60.0);
    seldom.hold(5.0, 300.0, 60.0);
  }
  CHECK(mentions(seldom.fit().why(), "within 10 s"));

  Record few({});
  for (int i = 0; i < 4; ++i) {
    few.hold(0.0, 3.0, 1.0);
    few.hold(5.0, 2.0, 1.0);
  }
  CHECK_FALSE(few.fit());
  CHECK_FALSE(few.fit().why().empty());
}

TEST_CASE("readings that are no numbers, or run backwards, hold no circuit") {
  Record record({});
  record.whole_run();
  SECTION("no number") {
    double PulseReading::*const members[] = {&PulseReading::time_s,    &PulseReading::before_s,
                                             &PulseReading::after_s,   &PulseReading::before_a,
                                             &PulseReading::current_a, &PulseReading::voltage_v,
                                             &PulseReading::removed_ah};
    for (double PulseReading::*const member : members)
      for (const double none :
           {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
        Record unreal = record;
        unreal.train[100].*member = none;
        CHECK(mentions(unreal.fit().why(), "no usable number"));
      }
  }
  SECTION("backwards") {
    record.train[100].after_s = -1.0;
    CHECK(mentions(record.fit().why(), "backwards"));
  }
  SECTION("an empty train") {
    const PulseTrain none;
    CHECK(mentions(fit_charge_circuit({&none, 1}, kFull_ah).why(), "empty"));
  }
  SECTION("no scale") {
    CHECK(mentions(fit_charge_circuit({&record.train, 1}, 0.0).why(), "scale"));
  }
}

TEST_CASE("scales of a nanovolt and a gigavolt change nothing but the scale") {
  for (const double scale : {1e-9, 1e9}) {
    Record record({});
    record.whole_run();
    for (PulseReading& reading : record.train) {
      reading.current_a *= scale;
      reading.before_a *= scale;
      reading.removed_ah *= scale;
    }
    const auto circuit = fit_charge_circuit({&record.train, 1}, kFull_ah * scale);
    CAPTURE(scale, circuit.why());
    if (scale > 1.0) {
      REQUIRE(circuit);
      CHECK(circuit->branches[0].tau_s.value == Approx(3.0).epsilon(1e-6));
      CHECK(circuit->r0_ohm.values[0].value == Approx(0.02 / scale).epsilon(1e-6));
    }
  }
}
