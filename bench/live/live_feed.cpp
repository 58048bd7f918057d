#include "bench/live/live_feed.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace sagbench::live {
namespace {

Message message(std::string text) {
  return std::make_shared<const std::string>(std::move(text));
}

}  // namespace

LiveFeed::LiveFeed(InBackground in_background)
    : in_background_(std::move(in_background)), self_(std::make_shared<LiveFeed*>(this)) {
  begin("", R"(,"run":null)");
}

void LiveFeed::begin(const std::string& run_id, std::string hello) {
  ++epoch_;
  run_id_ = run_id;
  hello_ = std::move(hello);
  ring_ = PointRing(kRingPoints);
  history_ = ThinHistory();
  events_.clear();
  first_event_ = 0;
  state_ = end_ = nullptr;
  cached_points_ = cached_history_ = Cached();
  history_asked_s_.reset();
  for (Watcher& watcher : watchers_) {
    watcher.next.reset();
    watcher.greeted = watcher.continues = watcher.ended = false;
    watcher.event = 0;
  }
}

void LiveFeed::add(const LivePoint& point) {
  history_.add(point);
  ring_.add(point);
}

void LiveFeed::event(double time_s, std::string json) {
  events_.push_back({time_s, message(std::move(json))});
  if (events_.size() <= kMostEvents) return;
  events_.pop_front();
  ++first_event_;
}

void LiveFeed::state(std::string json) {
  state_ = message(std::move(json));
  ++states_;
}

void LiveFeed::end(std::string json, std::string hello) {
  end_ = message(std::move(json));
  hello_ = std::move(hello);
}

bool LiveFeed::follow(std::shared_ptr<Outlet> outlet, std::optional<double> since_s,
                      const std::string& run) {
  if (watchers_.size() >= kMostWatchers) return false;
  Watcher watcher;
  watcher.outlet = std::move(outlet);
  watcher.idle_s = now_s_;
  const bool same_run = run.empty() || run == run_id_;
  if (since_s && same_run) watcher.next = ring_.after(*since_s);
  watcher.continues = watcher.next.has_value();
  if (watcher.continues) watcher.event = first_event_after(*since_s);
  watchers_.push_back(std::move(watcher));
  return true;
}

std::uint64_t LiveFeed::first_event_after(double time_s) const {
  const auto later = std::ranges::upper_bound(events_, time_s, {}, &Event::time_s);
  return first_event_ + static_cast<std::uint64_t>(later - events_.begin());
}

void LiveFeed::leave(const Outlet& outlet) {
  watchers_.remove_if([&](const Watcher& watcher) { return watcher.outlet.get() == &outlet; });
}

void LiveFeed::drop_all() {
  for (Watcher& watcher : std::exchange(watchers_, {})) watcher.outlet->drop();
}

void LiveFeed::begin_round(double now_s) {
  now_s_ = now_s;
  ++round_;
}

bool LiveFeed::serve_some(std::size_t most) {
  for (auto at = watchers_.begin(); at != watchers_.end();) {
    Watcher& watcher = *at;
    if (watcher.round == round_) {
      ++at;
      continue;
    }
    if (most-- == 0) return true;
    watcher.round = round_;
    if (watcher.outlet->idle()) {
      watcher.idle_s = now_s_;
      serve(watcher);
    } else if (now_s_ - watcher.idle_s > kLongestWrite_s) {
      const std::shared_ptr<Outlet> slow = std::move(watcher.outlet);
      at = watchers_.erase(at);
      slow->drop();
      continue;
    }
    ++at;
  }
  return false;
}

void LiveFeed::serve(Watcher& watcher) {
  std::vector<Message> messages;
  if (!watcher.greeted) greet(watcher, messages);
  bring_history(watcher, messages);
  if (watcher.next) {
    bring_points(watcher, messages);
    bring_events(watcher, messages);
  }
  if (state_ && watcher.state != states_) messages.push_back(state_);
  watcher.state = states_;
  const bool all_told = watcher.next == ring_.next();
  if (end_ && !watcher.ended && all_told) {
    messages.push_back(end_);
    watcher.ended = true;
  }
  if (!messages.empty()) watcher.outlet->send(std::move(messages));
}

void LiveFeed::greet(Watcher& watcher, std::vector<Message>& messages) {
  messages.push_back(message(fmt::format(R"({{"type":"hello","history":"{}"{}}})",
                                         watcher.continues ? "continues" : "anew", hello_)));
  watcher.greeted = true;
}

/// For those that are not, or no longer, within what the ring holds.
void LiveFeed::bring_history(Watcher& watcher, std::vector<Message>& messages) {
  const bool lost = watcher.next && *watcher.next < ring_.first();
  if (lost) {
    watcher.next.reset();
    watcher.continues = false;
    watcher.event = 0;
    greet(watcher, messages);
  }
  if (watcher.next) return;
  if (!cached_history_.message || cached_history_.to + kMostPointsAMessage < ring_.next()) {
    ask_for_history();
    return;
  }
  messages.push_back(cached_history_.message);
  watcher.next = cached_history_.to;
}

void LiveFeed::ask_for_history() {
  if (history_asked_s_ && now_s_ - *history_asked_s_ < kLongestHistory_s) return;
  const auto make = [points = history_.points()] {
    return fmt::format(R"({{"type":"history","columns":{}}})", columns_json(points));
  };
  const auto done = [weak = std::weak_ptr(self_), epoch = epoch_,
                     to = ring_.next()](std::string json) {
    const auto self = weak.lock();
    if (!self || (*self)->epoch_ != epoch) return;
    (*self)->history_asked_s_.reset();
    (*self)->cached_history_ = {0, to, message(std::move(json))};
  };
  if (in_background_(make, done)) history_asked_s_ = now_s_;
}

void LiveFeed::bring_points(Watcher& watcher, std::vector<Message>& messages) {
  if (*watcher.next == ring_.next()) return;
  messages.push_back(points_from(*watcher.next));
  watcher.next = cached_points_.to;
}

void LiveFeed::bring_events(Watcher& watcher, std::vector<Message>& messages) {
  for (watcher.event = std::max(watcher.event, first_event_);
       watcher.event - first_event_ < events_.size(); ++watcher.event)
    messages.push_back(events_[watcher.event - first_event_].message);
}

/// Made once for all that are equally far.
Message LiveFeed::points_from(std::uint64_t from) {
  const std::uint64_t to = std::min(ring_.next(), from + kMostPointsAMessage);
  if (!cached_points_.message || cached_points_.from != from || cached_points_.to != to)
    cached_points_ = {from, to,
                      message(fmt::format(R"({{"type":"samples","columns":{}}})",
                                          columns_json(ring_.from(from, kMostPointsAMessage))))};
  return cached_points_.message;
}

}  // namespace sagbench::live
