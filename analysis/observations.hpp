#pragma once
// What is said of numbers that nothing can be made of.

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace sagbench::analysis {

inline constexpr const char* kTooLarge = "the numbers are too large or too small to be squared";

/// Names the first one, counted from 1, that is NaN or infinite; empty where all are finite.
std::string not_finite(std::string_view what, std::span<const double> values);

/// Why `parameters` parameters cannot be fitted to them: no parameters, not more observations than
/// parameters, or one that is no finite number. Empty where nothing stands against it.
std::string unfit(std::span<const double> observed, std::size_t parameters);

/// The sentence for a parameter (counted from 0 here, from 1 in words) that others can stand in
/// for.
std::string undetermined(std::size_t parameter);

}  // namespace sagbench::analysis
