#pragma once
// A run on stderr.

#include <boost/asio/io_context.hpp>
#include <memory>

#include "bench/run/run_watch.hpp"

namespace sagbench::bench {

/// On a terminal that can keep them, lines in place that are drawn anew each second; else a line at
/// each step and, in real time, each minute. Shows only what is safe in the archive.
std::unique_ptr<RunWatch> make_run_status(boost::asio::io_context& io);

}  // namespace sagbench::bench
