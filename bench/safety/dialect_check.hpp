#pragma once
// What a dialect must have words for, known before anything is opened. All throw InputError with
// file, key, value and what would be accepted.

#include <string>

#include "bench/files/bench_file.hpp"
#include "bench/files/plan_file.hpp"
#include "drivers/dialect.hpp"
#include "drivers/electronic_load.hpp"

namespace sagbench::bench {

/// The dialect named by `key` ("load.dialect") of a bench file.
drivers::Dialect dialect_for(const std::string& bench_path, const std::string& key,
                             const std::string& name);

void check_load_dialect(const drivers::Dialect& dialect, const LoadEntry& load,
                        const std::string& bench_path);
void check_meter_dialect(const drivers::Dialect& dialect, const MeterEntry& meter,
                         const std::string& bench_path);
/// The guards of a run, as far as the dialect has them.
void check_guards(const drivers::Dialect& dialect, const drivers::Guards& guards,
                  const std::string& bench_path);
/// Every current that a plan may ask for, of which no more than `allowed_a` is ever drawn.
void check_currents(const drivers::Dialect& dialect, const Plan& plan, const analysis::Pack& pack,
                    double allowed_a);

}  // namespace sagbench::bench
