#pragma once
// A pack's tests as tables, a row a test.

#include <vector>

#include "reports/ageing_history.hpp"
#include "reports/table.hpp"

namespace sagbench::reports {

Table tests_table(const AgeingHistory& history);
/// Hours on the air, a column an operation; as many tables as it takes for them to be read.
std::vector<Table> hours_tables(const AgeingHistory& history);

}  // namespace sagbench::reports
