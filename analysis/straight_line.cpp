#include "analysis/straight_line.hpp"

#include <algorithm>
#include <cmath>

namespace sagbench::analysis {

void StraightLine::add(double x, double y, double weight) noexcept {
  points_ += 1.0;
  weights_ += weight;
  const double before_x = x - mean_x_, before_y = y - mean_y_;
  mean_x_ += before_x * weight / weights_;
  mean_y_ += before_y * weight / weights_;
  xx_ += weight * before_x * (x - mean_x_);
  xy_ += weight * before_x * (y - mean_y_);
  yy_ += weight * before_y * (y - mean_y_);
}

double StraightLine::residual_sd() const noexcept {
  if (points_ < 3.0) return 0.0;
  return std::sqrt(std::max(0.0, yy_ - slope() * xy_) / (points_ - 2.0));
}

double StraightLine::slope_doubt() const noexcept {
  return xx_ > 0.0 ? 1.0 / std::sqrt(xx_) : 0.0;
}

double StraightLine::doubt_at(double x) const noexcept {
  if (!(xx_ > 0.0)) return 0.0;
  const double away = x - mean_x_;
  return std::sqrt(1.0 / weights_ + away * away / xx_);
}

}  // namespace sagbench::analysis
