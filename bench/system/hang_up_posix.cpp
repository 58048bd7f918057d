#include "bench/system/hang_up.hpp"

#include <csignal>

namespace sagbench::bench {

void add_hang_up(boost::asio::signal_set& signals) {
  signals.add(SIGHUP);
}

}  // namespace sagbench::bench
