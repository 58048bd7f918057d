#pragma once
// Where else a fit may start from.

#include <cstddef>
#include <span>
#include <vector>

#include "analysis/nonlinear_fit.hpp"

namespace sagbench::analysis {

/// Start number `index` of an endless sequence that is the same every time (J. H. Halton,
/// Numerische Mathematik 2 (1960) 84). Where both bounds of a parameter are given it lies between
/// them, by decades where both are positive; else its size lies within up to three decades of
/// `about`'s, near and far in turn, its sign kept; a value of 0 is spread over -1 ... 1. At most 16
/// parameters get a sequence of their own; the others share them.
std::vector<double> start_point(std::size_t index, const std::vector<double>& about,
                                std::span<const Bounds> bounds);

}  // namespace sagbench::analysis
