#include "bench/radio/grouping.hpp"

#include <algorithm>
#include <cstddef>

#include "bench/radio/two_levels.hpp"

namespace sagbench::bench {

using drivers::ListPoint;

namespace {

using Points = std::vector<ListPoint>;
using Some = std::span<const ListPoint>;

/// Stretches in a row and what stands for each. The last may still be growing.
struct Grouped {
  std::vector<std::size_t> ends;
  std::vector<Points> equivalents;

  std::size_t begin_of_next() const { return ends.empty() ? 0 : ends.back(); }
  void drop_last() {
    ends.pop_back();
    equivalents.pop_back();
  }
};

std::optional<Points> equivalent_of(Some points, double shortest_s, Stretch::Peak peak) {
  Stretch stretch;
  for (const ListPoint& point : points) stretch.take(point);
  return stretch.equivalent(shortest_s, peak);
}

/// Groups as short as may be, from the front; what is left over at the end joins the groups before
/// it. Nothing where even all together have no equivalent.
std::optional<Points> groups_of(Some points, double shortest_s) {
  Grouped groups;
  for (std::size_t begin = 0, end = 0; end < points.size();) {
    Stretch stretch;
    std::optional<Points> found;
    for (end = begin; end < points.size() && !found; ++end) {
      stretch.take(points[end]);
      found = stretch.equivalent(shortest_s, Stretch::Peak::may_go);
    }
    while (!found && !groups.ends.empty()) {
      groups.drop_last();
      begin = groups.begin_of_next();
      found = equivalent_of(points.subspan(begin), shortest_s, Stretch::Peak::may_go);
    }
    if (!found) return std::nullopt;
    groups.ends.push_back(end);
    groups.equivalents.push_back(*found);
    begin = end;
  }
  Points all;
  for (const Points& some : groups.equivalents) all.insert(all.end(), some.begin(), some.end());
  return all;
}

double highest_a(Some points) {
  return std::ranges::max_element(points, {}, &ListPoint::current_a)->current_a;
}

/// The same with a group about the highest peak that keeps it.
std::optional<Points> groups_about_peak(Some points, double shortest_s) {
  const auto peak = static_cast<std::size_t>(
      std::ranges::max_element(points, {}, &ListPoint::current_a) - points.begin());
  std::size_t begin = peak, end = peak + 1;
  for (;;) {
    const auto middle =
        equivalent_of(points.subspan(begin, end - begin), shortest_s, Stretch::Peak::must_stay);
    if (middle) {
      auto all = groups_of(points.first(begin), shortest_s);
      const auto behind = groups_of(points.subspan(end), shortest_s);
      if (all && behind) {
        all->insert(all->end(), middle->begin(), middle->end());
        all->insert(all->end(), behind->begin(), behind->end());
        return all;
      }
    }
    if (begin == 0 && end == points.size()) return std::nullopt;
    if (begin > 0) --begin;
    if (end < points.size()) ++end;
  }
}

}  // namespace

std::optional<Points> grouped(Some points, double shortest_s, double peak_share) {
  auto plain = groups_of(points, shortest_s);
  if (plain && highest_a(*plain) >= peak_share * highest_a(points)) return plain;
  return groups_about_peak(points, shortest_s);
}

}  // namespace sagbench::bench
