#pragma once
// How long the pack lasts for the owner's ways of operating.

#include <vector>

#include "reports/canvas.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Heading and table from `top_left` down, a few operations at most, what to bring for each as far
/// as that ends above `lowest`, and a line that counts what was left out; returns where they end.
/// Draws nothing when there is no operation.
double draw_hours(Canvas& canvas, Point top_left, double width,
                  const std::vector<OperationHours>& operations, double lowest);

}  // namespace sagbench::reports
