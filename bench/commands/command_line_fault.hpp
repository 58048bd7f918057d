#pragma once
// What the parser of the command line finds fault with, in words of our own: its own say "1
// required TEXT missing".

#include <CLI/App.hpp>
#include <string>

namespace sagbench::bench {

/// One line: which command and option, what was given, what is accepted. Precondition: `app` has
/// just thrown `error` while it parsed.
std::string fault_of(const CLI::App& app, const CLI::ParseError& error);

}  // namespace sagbench::bench
