#pragma once

namespace sagbench::bench {

/// SHA-256 (hex) over the sources of analysis/, reports/ and bench/, taken when they were built:
/// figures that a program with another one computed may differ. A version would not tell while a
/// version is being made.
const char* source_hash() noexcept;

}  // namespace sagbench::bench
