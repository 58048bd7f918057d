#pragma once
// A specimen measured by a whole run on the simulated bench.

#include <functional>
#include <nlohmann/json.hpp>

#include "analysis/figures.hpp"
#include "drivers/virtual/virtual_bench.hpp"
#include "specimen.hpp"

namespace sagbench::intervals {

struct Measurement {
  analysis::Figures figures;
  double discharge_a = 0.0;  // what really flowed in the capacity step
};

/// What only the world knows, each time that an instrument has answered.
using Look = std::function<void(const drivers::virtual_bench::Truth&)>;

/// Throws std::runtime_error where the run did not come to its end. `look` may be empty.
Measurement measured(const Specimen& specimen, const nlohmann::json& steps, const Look& look = {});

}  // namespace sagbench::intervals
