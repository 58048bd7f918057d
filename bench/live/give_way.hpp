#pragma once

namespace sagbench::live {

/// The calling thread lets others have the processor first, from now on.
void give_way() noexcept;

}  // namespace sagbench::live
