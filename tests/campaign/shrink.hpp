#pragma once
// From a seed that fails to the least that still does.

#include <functional>

#include "draw.hpp"

namespace sagbench::campaign {

/// Leaves faults out, makes the others plainer and the plan shorter, as long as `fails` holds.
/// Tries a hundred times at most. Precondition: fails(found).
Drawn shrunk(Drawn found, const std::function<bool(const Drawn&)>& fails);

}  // namespace sagbench::campaign
