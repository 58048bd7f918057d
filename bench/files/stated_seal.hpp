#pragma once
// Whether the files of an exported run still hold what they say was sealed.

#include "bench/files/json_reader.hpp"
#include "reports/run_record.hpp"

namespace sagbench::bench {

/// What run.json states; nothing where it states no hash, as when it was written by hand or by an
/// older program.
reports::RunSeal stated_seal(ObjectReader& run_json);

/// Throws InputError where the record, samples included, does not give the hash that it states; the
/// line names the parts that differ if they can be told.
void require_stated_seal(ObjectReader& run_json, const reports::RunRecord& record);

}  // namespace sagbench::bench
