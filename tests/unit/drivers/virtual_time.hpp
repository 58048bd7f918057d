#pragma once
#include "drivers/virtual_time.hpp"

namespace sagbench::drivers::test {

using drivers::VirtualTime;

}  // namespace sagbench::drivers::test
