#pragma once
// Whether a load plays lists of currents by itself.

#include <boost/asio/awaitable.hpp>

#include "drivers/probe/dialect_probe.hpp"
#include "drivers/probe/probe_tries.hpp"

namespace sagbench::drivers {

/// Fills `findings` of a load whose input is off.
boost::asio::awaitable<Result<void>> probe_list(ProbeTries& tries, ProbeFindings& findings);

}  // namespace sagbench::drivers
