#include "bench/radio/played_list.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace sagbench::bench {

using drivers::ListPoint;

PlayedList::PlayedList(double start_s, double resting_a, const std::vector<ListPoint>& points)
    : resting_a_(resting_a) {
  double time_s = start_s;
  for (const ListPoint& point : points) {
    edges_.push_back({point.current_a, time_s});
    time_s += point.dwell_s;
  }
  edges_.push_back({resting_a, time_s});
}

std::vector<PlayedList::Asked>::const_iterator PlayedList::piece_at(double time_s) const {
  return std::upper_bound(edges_.begin(), edges_.end(), time_s,
                          [](double time, const Asked& edge) { return time < edge.since_s; });
}

PlayedList::Asked PlayedList::at(double time_s) const {
  const auto next = piece_at(time_s);
  if (next == edges_.begin()) return {resting_a_, edges_.front().since_s};
  return *std::prev(next);
}

double PlayedList::highest_a(double from_s, double to_s) const {
  double highest_a = at(from_s).current_a;
  for (auto edge = piece_at(from_s); edge != edges_.end() && edge->since_s <= to_s; ++edge)
    highest_a = std::max(highest_a, edge->current_a);
  return highest_a;
}

double PlayedList::charge_ah(double from_s, double to_s) const {
  double ampere_seconds = 0.0;
  double time_s = from_s;
  double current_a = at(from_s).current_a;
  for (auto edge = piece_at(from_s); edge != edges_.end() && edge->since_s < to_s; ++edge) {
    ampere_seconds += current_a * (edge->since_s - time_s);
    time_s = edge->since_s;
    current_a = edge->current_a;
  }
  return (ampere_seconds + current_a * (to_s - time_s)) / 3600.0;
}

std::vector<ListPoint> playable(const std::vector<ListPoint>& wanted, double shortest_s,
                                double longest_s) {
  std::vector<ListPoint> points;
  double owed_s = 0.0;  // drawn out already, to be saved at the next points
  for (const ListPoint& point : wanted) {
    const double left_s = point.dwell_s - owed_s;
    const double dwell_s = std::max(left_s, shortest_s);
    owed_s = dwell_s - left_s;
    const double parts = std::max(1.0, std::ceil(dwell_s / longest_s));
    points.insert(points.end(), static_cast<std::size_t>(parts),
                  {point.current_a, dwell_s / parts});
  }
  return points;
}

}  // namespace sagbench::bench
