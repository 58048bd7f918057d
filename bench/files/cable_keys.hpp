#pragma once
// Keys by which a user's file states a cable: its wire instead of its resistance.

#include "bench/files/json_reader.hpp"

namespace sagbench::bench {

/// Ohms of both conductors from "awg" or "area_mm2" (one of them), "length_m" and, if it is there,
/// "temperature_C" of the copper. Throws InputError, also for more than `most_ohm`. Unknown keys
/// are the caller's to refuse.
double read_wire_ohm(ObjectReader& wire, double most_ohm);

/// True when any of these keys is there.
bool states_wire(const ObjectReader& wire);

}  // namespace sagbench::bench
