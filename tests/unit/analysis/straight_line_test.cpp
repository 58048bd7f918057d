// The straight line against certified values and a worked example of the GUM.
#include "analysis/straight_line.hpp"

#include <cmath>
#include <fstream>
#include <string>

#include "catch.hpp"
#include "thermometer.hpp"

using sagbench::analysis::StraightLine;

namespace {

/// The data of a file of the NIST's reference sets, which begin in line 61: y, then x.
StraightLine norris() {
  std::ifstream file(SAGBENCH_TEST_DATA "/reference/data/nist/linear/Norris.dat");
  std::string line;
  for (int i = 0; i < 60; ++i) std::getline(file, line);
  StraightLine fitted;
  double y = 0.0, x = 0.0;
  while (file >> y >> x) fitted.add(x, y);
  return fitted;
}

}  // namespace

TEST_CASE("the certified line of NIST's Norris") {
  const StraightLine line = norris();
  REQUIRE(line.points() == 36.0);
  CHECK(line.at(0.0) == Approx(-0.262323073774029).epsilon(1e-10));
  CHECK(line.slope() == Approx(1.00211681802045).epsilon(1e-12));
  CHECK(line.residual_sd() == Approx(0.884796396144373).epsilon(1e-10));
  CHECK(line.residual_sd() * line.doubt_at(0.0) == Approx(0.232818234301152).epsilon(1e-10));
  CHECK(line.residual_sd() * line.slope_doubt() == Approx(0.429796848199937e-3).epsilon(1e-10));
}

TEST_CASE("the calibration line of a thermometer, JCGM 100:2008, H.3") {
  StraightLine line;
  for (const auto& [reading, correction] : sagbench::analysis::testing::kThermometer)
    line.add(reading, correction);
  CHECK(line.at(20.0) == Approx(-0.171203790).epsilon(1e-8));
  CHECK(line.slope() == Approx(0.0021826977).epsilon(1e-7));
  CHECK(line.residual_sd() == Approx(0.003497564).epsilon(1e-6));
  CHECK(line.residual_sd() * line.doubt_at(20.0) == Approx(0.002877598).epsilon(1e-6));
  CHECK(line.residual_sd() * line.slope_doubt() == Approx(0.0006679388).epsilon(1e-6));
  CHECK(line.at(30.0) == Approx(-0.149376813).epsilon(1e-8));
  CHECK(line.residual_sd() * line.doubt_at(30.0) == Approx(0.004138596).epsilon(1e-6));
}

TEST_CASE("a large common part of the values costs no digits") {
  StraightLine line;
  for (int i = 0; i < 1000; ++i) line.add(1e9 + i, 1e7 + 0.25 * i);
  CHECK(line.slope() == Approx(0.25).epsilon(1e-9));
  CHECK(line.residual_sd() == Approx(0.0).margin(1e-6));
}

TEST_CASE("where no line is known there is neither slope nor doubt") {
  StraightLine line;
  CHECK(line.slope() == 0.0);
  CHECK(line.doubt_at(3.0) == 0.0);
  line.add(2.0, 5.0);
  line.add(2.0, 7.0);
  CHECK(line.slope() == 0.0);
  CHECK(line.at(9.0) == 6.0);
  CHECK(line.doubt_at(9.0) == 0.0);
  CHECK(line.residual_sd() == 0.0);
}
