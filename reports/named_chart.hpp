#pragma once
// A chart with a name, for a page or for a file of its own.

#include <string>

#include "reports/chart.hpp"

namespace sagbench::reports {

struct NamedChart {
  std::string name;  // of what it shows, fit for a file: "cell-spread"
  Chart chart;
};

/// What the picture shows, in words for those who do not see it.
std::string words_of(const Chart& chart);

}  // namespace sagbench::reports
