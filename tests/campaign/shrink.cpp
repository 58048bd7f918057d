#include "shrink.hpp"

#include <cmath>
#include <vector>

namespace sagbench::campaign {
namespace {

constexpr int kMostTries = 100;

class Shrinking {
 public:
  Shrinking(Drawn found, const std::function<bool(const Drawn&)>& fails)
      : found_(std::move(found)), fails_(fails) {}

  Drawn run() {
    while (leave_out_one()) {
    }
    for (const char* plan : {"rest", "capacity", "peaks", "transmit"}) {
      Drawn plainer = found_;
      plainer.scene.plan = plan;
      if (found_.scene.plan == "whole" && take(plainer)) break;
    }
    for (std::size_t place = 0; place < found_.faults.size(); ++place) make_plainer(place);
    make_scene_plainer();
    return found_;
  }

 private:
  bool take(const Drawn& plainer) {
    if (++tries_ > kMostTries || !fails_(plainer)) return false;
    found_ = plainer;
    return true;
  }

  bool leave_out_one() {
    for (std::size_t place = 0; place < found_.faults.size(); ++place) {
      Drawn fewer = found_;
      fewer.faults.erase(fewer.faults.begin() + static_cast<std::ptrdiff_t>(place));
      if (take(fewer)) return true;
    }
    return false;
  }

  /// `change` of one fault; kept if it still fails.
  template <class Change>
  bool with(std::size_t place, Change change) {
    Drawn plainer = found_;
    change(plainer.faults[place]);
    return plainer.faults[place] != found_.faults[place] && take(plainer);
  }

  void make_plainer(std::size_t place) {
    with(place, [](Fault& fault) { fault.for_s = fault.for_s > 0.0 ? 0.0 : fault.for_s; });
    with(place, [](Fault& fault) {
      if (fault.for_s > 1.0 && fault.for_s < kForGood_s) fault.for_s = std::round(fault.for_s);
    });
    while (with(place, [](Fault& fault) {
      if (fault.for_s > 2.0 && fault.for_s < kForGood_s) fault.for_s = std::floor(fault.for_s / 2);
    })) {
    }
    with(place, [](Fault& fault) {
      if (std::abs(fault.value) > 2.0 && fault.value < 1e6) fault.value = std::round(fault.value);
    });
    with(place, [](Fault& fault) {
      if (!fault.message) fault.at_s = std::round(fault.at_s);
    });
  }

  void make_scene_plainer() {
    const auto scene_with = [this](auto change) {
      Drawn plainer = found_;
      change(plainer.scene);
      if (!(plainer.scene == found_.scene)) take(plainer);
    };
    scene_with([](Scene& scene) { scene.board = false; });
    scene_with([](Scene& scene) { scene.scan = false, scene.taps = 0; });
    scene_with([](Scene& scene) { scene.thermometer = false; });
    scene_with([](Scene& scene) { scene.dialect = "scpi-1999-guarded"; });
  }

  Drawn found_;
  const std::function<bool(const Drawn&)>& fails_;
  int tries_ = 0;
};

}  // namespace

Drawn shrunk(Drawn found, const std::function<bool(const Drawn&)>& fails) {
  return Shrinking(std::move(found), fails).run();
}

}  // namespace sagbench::campaign
