#pragma once
// When a pack counts as full, for a capacity.

namespace sagbench::analysis {

/// A pack that lacks more than this share of its rated capacity at the start of a discharge was not
/// full (our choice). Whoever runs a capacity step must not begin below it, or the discharge is for
/// nothing.
inline constexpr double kFullShare = 0.005;

}  // namespace sagbench::analysis
