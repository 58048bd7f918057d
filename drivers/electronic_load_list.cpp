// Currents that a load plays by itself.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "drivers/electronic_load.hpp"

namespace sagbench::drivers {
namespace {

namespace asio = boost::asio;

template <class Number>
std::string message_of(const Operation& operation, const std::vector<ListPoint>& points,
                       Number number) {
  std::vector<std::string> numbers;
  numbers.reserve(points.size());
  for (const ListPoint& point : points) numbers.push_back(number_for(operation, number(point)));
  return filled(operation.send, fmt::format("{}", fmt::join(numbers, ",")));
}

}  // namespace

asio::awaitable<Result<void>> ElectronicLoad::set_list(const std::vector<ListPoint>& points,
                                                       int times) {
  const Result<void> fine = check_points(points, times);
  if (!fine) co_return fine;
  const CurrentList& words = *dialect_.list;
  struct Part {
    const Operation& operation;
    std::string message;
  };
  std::vector<Part> parts;
  parts.push_back({words.currents, message_of(words.currents, points,
                                              [](const ListPoint& p) { return p.current_a; })});
  parts.push_back({words.dwells,
                   message_of(words.dwells, points, [](const ListPoint& p) { return p.dwell_s; })});
  if (words.count)
    parts.push_back({*words.count, filled(words.count->send, fmt::format("{}", times))});
  parts.push_back({words.enter_mode, words.enter_mode.send});
  for (const Part& part : parts) {
    const Result<Exchange> set = co_await carry_out(part.operation, part.message);
    if (!set) co_return set.error();
  }
  co_return Result<void>{};
}

asio::awaitable<Result<Exchange>> ElectronicLoad::start_list() {
  return carry_out(dialect_.list->trigger, dialect_.list->trigger.send);
}

asio::awaitable<Result<Exchange>> ElectronicLoad::stop_list() {
  return carry_out(dialect_.list->leave_mode, dialect_.list->leave_mode.send);
}

Result<void> ElectronicLoad::check_points(const std::vector<ListPoint>& points, int times) const {
  const CurrentList& list = *dialect_.list;
  if (points.empty() || points.size() > static_cast<std::size_t>(list.max_points))
    return refused_by_caller(fmt::format("a list of {} points: the dialect takes 1 to {}",
                                         points.size(), list.max_points));
  const bool counted = times >= 1 && (list.count ? takes(*list.count, times) : times == 1);
  if (!counted)
    return refused_by_caller(fmt::format("a list played {} times: the dialect takes {}", times,
                                         list.count ? limits_in_words(*list.count) : "1"));
  for (const ListPoint& point : points) {
    if (!(point.current_a >= 0.0))
      return refused_by_caller(
          fmt::format("a current of {} A in a list: it must be zero or more", point.current_a));
    for (const Operation* operation : {&dialect_.set_current, &list.currents}) {
      if (!takes(*operation, point.current_a))
        return refused_by_caller(fmt::format("a current of {} A in a list: the dialect takes {}",
                                             point.current_a, limits_in_words(*operation)));
    }
    const bool dwell_fits = point.dwell_s >= list.shortest_dwell_s &&
                            point.dwell_s <= list.longest_dwell_s &&
                            takes(list.dwells, point.dwell_s);
    if (!dwell_fits)
      return refused_by_caller(fmt::format("{} s in a list: the dialect takes {:g} to {:g} s",
                                           point.dwell_s, list.shortest_dwell_s,
                                           list.longest_dwell_s));
  }
  return {};
}

}  // namespace sagbench::drivers
