#pragma once
#include <boost/asio/signal_set.hpp>

namespace sagbench::bench {

/// Adds the signal by which the system says that the terminal is gone.
void add_hang_up(boost::asio::signal_set& signals);

}  // namespace sagbench::bench
