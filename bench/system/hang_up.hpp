#pragma once
#include <boost/asio/signal_set.hpp>

namespace sagbench::bench {

/// Adds the signal by which the system says that the terminal is gone: SIGHUP; on Windows SIGBREAK,
/// which Ctrl-Break is, too.
void add_hang_up(boost::asio::signal_set& signals);

}  // namespace sagbench::bench
