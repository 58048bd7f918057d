#include "analysis/edge_timing.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/charge_integral.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kSmallestEdge = 0.05;  // of the range

struct Edge {
  double time_s;
  double from_a, to_a;
  double until_s;  // the next edge is due

  bool shown_by(const Sample& sample) const {
    return std::abs(sample.current_a - to_a) < std::abs(sample.current_a - from_a);
  }
};

std::vector<Edge> edges_of(std::span<const AskedCurrent> asked, double from_s, double to_s,
                           double range_a) {
  std::vector<Edge> edges;
  if (asked.empty()) return edges;
  double before_a = asked.front().current_a;
  for (const AskedCurrent& piece : asked.subspan(1)) {
    if (std::abs(piece.current_a - before_a) < kSmallestEdge * range_a) continue;
    if (!edges.empty()) edges.back().until_s = piece.start_s;
    edges.push_back({piece.start_s, before_a, piece.current_a, to_s});
    before_a = piece.current_a;
  }
  std::erase_if(edges,
                [&](const Edge& edge) { return edge.time_s < from_s || edge.time_s >= to_s; });
  return edges;
}

/// When `edge` came: between a sample that shows the old current and one that shows the new. Looked
/// for from `early_s` on, half way from the edge before it, since a load may be early too.
std::optional<double> seen_s(const Edge& edge, double early_s, std::span<const Sample> samples) {
  auto right = std::ranges::upper_bound(samples, early_s, {}, &Sample::time_s);
  if (right == samples.begin() && right != samples.end()) ++right;
  for (; right != samples.end() && (right - 1)->time_s < edge.until_s; ++right) {
    const Sample& left = *(right - 1);
    if (edge.shown_by(left) || !edge.shown_by(*right)) continue;
    const double came_s = setpoint_edge(left, *right).value_or(right->time_s);
    if (came_s < edge.until_s) return came_s;
  }
  return std::nullopt;
}

double nearest_rank(const std::vector<double>& sorted, double share) {
  const double rank = std::ceil(share * static_cast<double>(sorted.size()));
  return sorted[static_cast<std::size_t>(std::max(rank, 1.0)) - 1];
}

}  // namespace

EdgeTiming edge_timing(std::span<const AskedCurrent> asked, double from_s, double to_s,
                       double range_a, std::span<const Sample> samples) {
  EdgeTiming timing;
  std::vector<double> off_s;
  double before_s = from_s;
  for (const Edge& edge : edges_of(asked, from_s, to_s, range_a)) {
    ++timing.asked;
    if (const auto came_s = seen_s(edge, (before_s + edge.time_s) / 2.0, samples))
      off_s.push_back(std::abs(*came_s - edge.time_s));
    before_s = edge.time_s;
  }
  timing.unseen = timing.asked - off_s.size();
  if (off_s.empty()) return timing;
  std::ranges::sort(off_s);
  timing.half_within_s = nearest_rank(off_s, 0.50);
  timing.most_within_s = nearest_rank(off_s, 0.90);
  timing.nearly_all_within_s = nearest_rank(off_s, 0.99);
  timing.worst_s = off_s.back();
  return timing;
}

}  // namespace sagbench::analysis
