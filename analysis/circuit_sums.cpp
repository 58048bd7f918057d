// The sums over a record that steps and standard errors are made of.

#include <array>
#include <cstddef>

#include "analysis/circuit_system.hpp"
#include "analysis/circuit_walk.hpp"

namespace sagbench::analysis {
namespace {

/// Products of two local gradients, summed as long as the same parameters are at work: a small
/// matrix that stays in the processor's nearest memory.
template <std::size_t size>
class LocalProducts {
 public:
  using Gradient = std::array<double, size>;

  void add(const Gradient& left, const Gradient& right) noexcept {
    for (std::size_t i = 0; i < size; ++i)
      for (std::size_t k = 0; k < size; ++k) sums_[i * size + k] += left[i] * right[k];
  }
  void move_to(Eigen::MatrixXd& all, const std::array<std::size_t, size>& index) noexcept {
    for (std::size_t i = 0; i < size; ++i)
      for (std::size_t k = 0; k < size; ++k)
        all(static_cast<Eigen::Index>(index[i]), static_cast<Eigen::Index>(index[k])) +=
            sums_[i * size + k];
    sums_.fill(0.0);
  }

 private:
  std::array<double, size * size> sums_{};
};

template <std::size_t size>
std::array<double, size> times(const std::array<double, size>& values, double factor) noexcept {
  std::array<double, size> scaled;
  for (std::size_t i = 0; i < size; ++i) scaled[i] = factor * values[i];
  return scaled;
}

template <std::size_t size>
void add_to(Eigen::VectorXd& all, const std::array<std::size_t, size>& index,
            std::array<double, size>& values) noexcept {
  for (std::size_t i = 0; i < size; ++i) all[static_cast<Eigen::Index>(index[i])] += values[i];
  values.fill(0.0);
}

template <std::size_t branches>
class Summation {
 public:
  Summation(const CircuitSystem& system, double huber_v) : system_(system), huber_v_(huber_v) {
    const auto size = static_cast<Eigen::Index>(system.parameters());
    all_.gradient.setZero(size);
    all_.normal.setZero(size, size);
  }

  CircuitSystem::Sums over(const double* parameters) {
    CircuitWalk::along<branches>(system_, parameters,
                                 [&](const CircuitWalk::Row& row, double residual_v,
                                     const auto& gradient) { add(row, residual_v, gradient()); });
    move_on();
    return std::move(all_);
  }

 private:
  using Gradient = LocalGradient<branches>;

  void add(const CircuitWalk::Row& row, double residual_v, const Gradient& gradient) {
    if (last_ != nullptr && !CircuitWalk::alike(*last_, row)) move_on();
    last_ = &row;
    const Gradient weighted = times(gradient, huber_weight(residual_v, huber_v_));
    products_.add(weighted, gradient);
    for (std::size_t i = 0; i < gradient.size(); ++i) gradient_[i] += weighted[i] * residual_v;
    all_.squares += huber_weight(residual_v, huber_v_) * residual_v * residual_v;
    all_.cost += huber_loss(residual_v, huber_v_);
  }
  void move_on() {
    if (last_ == nullptr) return;
    const auto index = CircuitWalk::index_of<branches>(system_, *last_);
    products_.move_to(all_.normal, index);
    add_to(all_.gradient, index, gradient_);
  }

  const CircuitSystem& system_;
  double huber_v_;
  CircuitSystem::Sums all_;
  LocalProducts<std::tuple_size_v<Gradient>> products_;
  Gradient gradient_{};
  const CircuitWalk::Row* last_ = nullptr;
};

/// Each reading's gradient times the faded sum of those before it. While the same parameters are at
/// work that sum is kept for them alone; what was there before fades as one vector.
template <std::size_t branches>
class Correlation {
 public:
  Correlation(const CircuitSystem& system, double huber_v, double lag_1)
      : system_(system), huber_v_(huber_v), lag_1_(lag_1) {
    const auto size = static_cast<Eigen::Index>(system.parameters());
    earlier_.setZero(size);
    alone_.setZero(size, size);
    across_.setZero(size, size);
  }

  Eigen::MatrixXd over(const double* parameters) {
    CircuitWalk::along<branches>(
        system_, parameters,
        [&](const CircuitWalk::Row& row, double residual_v, const auto& gradient) {
          add(row, times(gradient(), huber_weight(residual_v, huber_v_)));
        });
    move_on();
    return alone_ + across_ + across_.transpose();
  }

 private:
  using Gradient = LocalGradient<branches>;

  void add(const CircuitWalk::Row& row, const Gradient& gradient) {
    if (last_ != nullptr && (row.begins || !CircuitWalk::alike(*last_, row))) move_on();
    if (row.begins) earlier_.setZero();
    last_ = &row;
    faded_ *= lag_1_;
    for (std::size_t i = 0; i < gradient.size(); ++i) {
      recent_[i] *= lag_1_;
      meets_earlier_[i] += faded_ * gradient[i];
    }
    squares_.add(gradient, gradient);
    products_.add(gradient, recent_);
    for (std::size_t i = 0; i < gradient.size(); ++i) recent_[i] += gradient[i];
  }
  void move_on() {
    if (last_ == nullptr) return;
    const auto index = CircuitWalk::index_of<branches>(system_, *last_);
    squares_.move_to(alone_, index);
    products_.move_to(across_, index);
    for (std::size_t i = 0; i < index.size(); ++i)
      across_.row(static_cast<Eigen::Index>(index[i])) += meets_earlier_[i] * earlier_.transpose();
    meets_earlier_.fill(0.0);
    earlier_ *= faded_;
    faded_ = 1.0;
    add_to(earlier_, index, recent_);
  }

  const CircuitSystem& system_;
  double huber_v_;
  double lag_1_;
  Eigen::VectorXd earlier_;  // the faded sum, as it was when these parameters came to work
  double faded_ = 1.0;       // what is left of it
  Gradient recent_{};        // of these parameters' own readings
  Gradient meets_earlier_{};
  LocalProducts<std::tuple_size_v<Gradient>> squares_, products_;
  Eigen::MatrixXd alone_, across_;
  const CircuitWalk::Row* last_ = nullptr;
};

}  // namespace

CircuitSystem::Sums CircuitSystem::sums(const double* parameters, double huber_v) const {
  return by_branches(branches_, [&]<std::size_t branches>() {
    return Summation<branches>(*this, huber_v).over(parameters);
  });
}

Eigen::MatrixXd CircuitSystem::gradient_variance(const double* parameters, double huber_v,
                                                 double lag_1) const {
  return by_branches(branches_, [&]<std::size_t branches>() {
    return Correlation<branches>(*this, huber_v, lag_1).over(parameters);
  });
}

}  // namespace sagbench::analysis
