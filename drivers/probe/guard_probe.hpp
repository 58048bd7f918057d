#pragma once
// What a load watches over by itself: protections, and where it senses the voltage.

#include <boost/asio/awaitable.hpp>

#include "drivers/probe/dialect_probe.hpp"
#include "drivers/probe/probe_tries.hpp"

namespace sagbench::drivers {

/// Fills `findings` of a load whose input is off.
boost::asio::awaitable<Result<void>> probe_guards(ProbeTries& tries, ProbeFindings& findings);

}  // namespace sagbench::drivers
