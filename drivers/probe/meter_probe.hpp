#pragma once
// What a meter understands.

#include <boost/asio/awaitable.hpp>

#include "drivers/probe/dialect_probe.hpp"
#include "drivers/probe/probe_tries.hpp"

namespace sagbench::drivers {

/// Fills `findings` if the instrument measures voltages; leaves its kind `neither` if not.
boost::asio::awaitable<Result<void>> probe_meter(ProbeTries& tries, ProbeFindings& findings,
                                                 const ProbeProgress& told);

}  // namespace sagbench::drivers
