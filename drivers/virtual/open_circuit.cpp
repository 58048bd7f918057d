#include "drivers/virtual/open_circuit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace sagbench::drivers::virtual_bench {
namespace {

// LFP, 0 to 100 %: typical rest voltages published with an open battery-management firmware (Libre
// Solar, Apache-2.0), in 5 % steps; its axis prints 85 where 75 belongs. Below 0 %: from memory,
// the collapse and reversal of an over-discharged cell.
constexpr std::array kLfp = std::to_array<OpenCircuitPoint>(
    {{-0.10, -0.50}, {-0.06, 0.20}, {-0.04, 1.00}, {-0.02, 2.00}, {-0.01, 2.45}, {0.00, 2.833},
     {0.05, 3.132},  {0.10, 3.177}, {0.15, 3.190}, {0.20, 3.213}, {0.25, 3.226}, {0.30, 3.240},
     {0.35, 3.252},  {0.40, 3.262}, {0.45, 3.264}, {0.50, 3.265}, {0.55, 3.268}, {0.60, 3.271},
     {0.65, 3.275},  {0.70, 3.283}, {0.75, 3.296}, {0.80, 3.304}, {0.85, 3.308}, {0.90, 3.309},
     {0.95, 3.314},  {1.00, 3.392}});

// Layered oxides (NMC, NCA, LCO): typical, from memory.
constexpr std::array kLayeredOxide = std::to_array<OpenCircuitPoint>({{-0.10, -0.50},
                                                                      {-0.06, 0.50},
                                                                      {-0.04, 1.50},
                                                                      {-0.02, 2.40},
                                                                      {0.00, 3.00},
                                                                      {0.02, 3.20},
                                                                      {0.05, 3.36},
                                                                      {0.10, 3.46},
                                                                      {0.20, 3.55},
                                                                      {0.30, 3.61},
                                                                      {0.40, 3.65},
                                                                      {0.50, 3.70},
                                                                      {0.60, 3.79},
                                                                      {0.70, 3.89},
                                                                      {0.80, 3.98},
                                                                      {0.90, 4.07},
                                                                      {1.00, 4.18}});

// Lead-acid: nearly linear in acid strength, 12.85 V to 11.80 V for six cells; typical, from
// memory.
constexpr std::array kLeadAcid = std::to_array<OpenCircuitPoint>({{-0.20, -0.30},
                                                                  {-0.12, 0.60},
                                                                  {-0.08, 1.30},
                                                                  {-0.04, 1.75},
                                                                  {0.00, 1.967},
                                                                  {0.10, 1.990},
                                                                  {0.25, 2.018},
                                                                  {0.50, 2.062},
                                                                  {0.75, 2.104},
                                                                  {1.00, 2.142}});

// NiMH: typical, from memory.
constexpr std::array kNimh = std::to_array<OpenCircuitPoint>({{-0.12, -0.25},
                                                              {-0.06, 0.30},
                                                              {-0.03, 0.75},
                                                              {0.00, 1.05},
                                                              {0.03, 1.15},
                                                              {0.10, 1.205},
                                                              {0.20, 1.225},
                                                              {0.40, 1.245},
                                                              {0.60, 1.262},
                                                              {0.80, 1.285},
                                                              {0.90, 1.31},
                                                              {0.96, 1.35},
                                                              {1.00, 1.40}});

double secant(const OpenCircuitPoint& left, const OpenCircuitPoint& right) {
  return (right.voltage_v - left.voltage_v) / (right.charge - left.charge);
}

// Harmonic means of neighbouring secants keep each piece monotone (the sufficient condition of the
// paper).
std::vector<double> monotone_slopes(const std::vector<OpenCircuitPoint>& points) {
  std::vector<double> slope(points.size());
  slope.front() = secant(points[0], points[1]);
  slope.back() = secant(points[points.size() - 2], points.back());
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    const double before = secant(points[i - 1], points[i]);
    const double after = secant(points[i], points[i + 1]);
    slope[i] = 2.0 * before * after / (before + after);
  }
  return slope;
}

}  // namespace

OpenCircuitCurve::OpenCircuitCurve(std::span<const OpenCircuitPoint> points)
    : points_(points.begin(), points.end()), slope_(monotone_slopes(points_)) {}

double OpenCircuitCurve::voltage_v(double charge) const noexcept {
  if (charge <= points_.front().charge) return points_.front().voltage_v;
  if (charge >= points_.back().charge) return points_.back().voltage_v;
  const auto above = std::upper_bound(
      points_.begin(), points_.end(), charge,
      [](double value, const OpenCircuitPoint& point) { return value < point.charge; });
  const auto right = static_cast<std::size_t>(above - points_.begin());
  const OpenCircuitPoint& a = points_[right - 1];
  const OpenCircuitPoint& b = points_[right];
  const double width = b.charge - a.charge;
  const double u = (charge - a.charge) / width;
  const double v = 1.0 - u;
  // Cubic Hermite form, per unit of the interval.
  return v * v * ((1.0 + 2.0 * u) * a.voltage_v + u * width * slope_[right - 1]) +
         u * u * ((3.0 - 2.0 * u) * b.voltage_v - v * width * slope_[right]);
}

const OpenCircuitCurve& open_circuit_of(analysis::Chemistry chemistry) {
  static const OpenCircuitCurve lfp(kLfp);
  static const OpenCircuitCurve layered_oxide(kLayeredOxide);
  static const OpenCircuitCurve lead_acid(kLeadAcid);
  static const OpenCircuitCurve nimh(kNimh);
  if (chemistry == analysis::Chemistry::lfp) return lfp;
  if (chemistry == analysis::Chemistry::nimh) return nimh;
  return analysis::limits_of(chemistry).lead_acid ? lead_acid : layered_oxide;
}

}  // namespace sagbench::drivers::virtual_bench
