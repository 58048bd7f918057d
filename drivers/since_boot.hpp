#pragma once
// Time since the computer was started.

#include "drivers/clock.hpp"

namespace sagbench::drivers {

/// Goes on while the computer is suspended, which a steady clock need not do: a suspended computer
/// has not watched, and must know for how long.
Time since_boot() noexcept;

}  // namespace sagbench::drivers
