#pragma once
// A seed becomes a scene and its faults.

#include <cstdint>
#include <vector>

#include "fault.hpp"
#include "scene.hpp"

namespace sagbench::campaign {

struct Drawn {
  Scene scene;
  std::vector<Fault> faults;  // none to four
};

Drawn draw(std::uint64_t seed);

}  // namespace sagbench::campaign
