#pragma once
// What the program is told when it is started.

namespace sagbench::bench {

/// Carries out the command that the words name and returns its exit code. Throws InputError where
/// they are not understood, and what the command throws.
int parse_and_run(int argc, char** argv);

}  // namespace sagbench::bench
