#pragma once
// What a load understands.

#include <boost/asio/awaitable.hpp>

#include "drivers/probe/dialect_probe.hpp"
#include "drivers/probe/probe_tries.hpp"

namespace sagbench::drivers {

/// Fills `findings` if the instrument is a load; leaves its kind `neither` if not. Its input is off
/// afterwards; one found on is a `caller` error. True when there is an input or output that can be
/// switched: then it is no meter either.
boost::asio::awaitable<Result<bool>> probe_load(ProbeTries& tries, ProbeFindings& findings,
                                                const ProbeProgress& told);

}  // namespace sagbench::drivers
