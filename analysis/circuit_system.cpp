#include "analysis/circuit_system.hpp"

#include "analysis/circuit_walk.hpp"

namespace sagbench::analysis {

std::size_t CircuitSystem::parameters() const noexcept {
  return log_tau(branches_ + 1);
}

std::size_t CircuitSystem::first_ohm(std::size_t branch) const noexcept {
  return source().size() + branch * resistance().size();
}

std::size_t CircuitSystem::log_tau(std::size_t branch) const noexcept {
  return first_ohm(branches_ + 1) + branch - 1;
}

std::vector<CircuitSystem::Residual> CircuitSystem::residuals(const double* parameters) const {
  std::vector<Residual> found;
  found.reserve(readings());
  by_branches(branches_, [&]<std::size_t branches>() {
    CircuitWalk::along<branches>(
        *this, parameters, [&](const CircuitRecord::Row& row, double residual_v, const auto&) {
          found.push_back({residual_v, row.soon});
        });
  });
  return found;
}

}  // namespace sagbench::analysis
