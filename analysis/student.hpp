#pragma once

#include <cstddef>

namespace sagbench::analysis {

/// Student's t for 95 % (JCGM 100:2008, Table G.2), from one degree of freedom on; from ten on the
/// value of ten, which is the larger. Precondition: freedom > 0.
double student_95(std::size_t freedom) noexcept;

}  // namespace sagbench::analysis
