#pragma once
// What a reader is led by: places on a page that the outline names, and where the page tells on
// which page something stands.

#include <string>
#include <vector>

#include "reports/geometry.hpp"

namespace sagbench::reports {

/// Of the outline; a section belongs to the part before it.
enum class MarkLevel { part, section };

struct Mark {
  std::string title;
  double top = 0.0;  // points from the page's upper edge
  MarkLevel level = MarkLevel::part;
};

/// "page 5", ending at a point: the page of the first mark of that title.
struct Reference {
  Point right_end;
  std::string title;
};

struct PageMarks {
  std::vector<Mark> marks;
  std::vector<Reference> references;
};

}  // namespace sagbench::reports
