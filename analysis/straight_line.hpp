#pragma once
// The straight line through points, by least squares, with what is in doubt about it.

namespace sagbench::analysis {

/// y = offset + slope x, no deviation of x, and of y the same in each point or, where points have
/// weights, one over the root of the weight. Takes one point after the other and keeps none. Sums
/// go about the running means, so that a large common part of the values costs no digits (B. P.
/// Welford, Technometrics 4 (1962) 419).
class StraightLine {
 public:
  /// Precondition: weight > 0.
  void add(double x, double y, double weight = 1.0) noexcept;

  double points() const noexcept { return points_; }
  double mean_x() const noexcept { return mean_x_; }
  double mean_y() const noexcept { return mean_y_; }
  /// Sum of weighted squared distances of x from their mean.
  double spread_x() const noexcept { return xx_; }

  /// 0 where all x are the same.
  double slope() const noexcept { return xx_ > 0.0 ? xy_ / xx_ : 0.0; }
  double at(double x) const noexcept { return mean_y_ + slope() * (x - mean_x_); }

  /// Of y about the line, in a point of weight 1, with points - 2 degrees of freedom; 0 with fewer
  /// than three points.
  double residual_sd() const noexcept;
  /// Standard uncertainty of at(x) for a standard deviation of 1 of each y: residual_sd(), or what
  /// is known otherwise of the noise, times this (JCGM 100:2008, H.3.5). 0 where no line is known.
  double doubt_at(double x) const noexcept;
  /// The same of slope().
  double slope_doubt() const noexcept;

 private:
  double points_ = 0.0;
  double weights_ = 0.0;
  double mean_x_ = 0.0, mean_y_ = 0.0;
  double xx_ = 0.0, xy_ = 0.0, yy_ = 0.0;
};

}  // namespace sagbench::analysis
