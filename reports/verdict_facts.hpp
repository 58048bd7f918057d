#pragma once
// What the verdicts rest on, sentence by sentence.

#include <string>
#include <vector>

#include "reports/canvas.hpp"
#include "reports/test_report.hpp"

namespace sagbench::reports {

/// Laid out, not yet drawn: its height is needed first. One column a rating.
class VerdictFacts {
 public:
  VerdictFacts(const Canvas& canvas, const std::vector<analysis::Rating>& ratings, double width);

  /// 0 when no rating has a fact.
  double height() const noexcept;
  void draw(Canvas& canvas, Point top_left) const;

 private:
  struct Column {
    std::string title;
    std::vector<std::string> lines;
  };

  double width_;
  std::vector<Column> columns_;
};

}  // namespace sagbench::reports
