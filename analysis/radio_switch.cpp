#include "analysis/radio_switch.hpp"

#include <utility>

namespace sagbench::analysis {

RadioSwitch::RadioSwitch(Radio radio) : radio_(std::move(radio)) {}

void RadioSwitch::see(double time_s, double supply_v) {
  if (!seen_) since_s_ = seen_s_ = time_s;
  seen_ = true;
  if (!on_) off_s_ += time_s - seen_s_;
  seen_s_ = time_s;
  if (!on_) return try_to_return(time_s, supply_v);
  if (time_s - since_s_ >= kOver_s) got_through_ = true;
  if (!(supply_v > radio_.supply_min_v)) drop_out(time_s);
}

void RadioSwitch::over_began() {
  over_began_ = on_;
}

void RadioSwitch::over_ended() {
  if (over_began_) got_through_ = true;
}

void RadioSwitch::drop_out(double time_s) {
  on_ = over_began_ = false;
  since_s_ = time_s;
  ++drop_outs_;
  in_vain_ = got_through_ ? 0 : in_vain_ + 1;
  if (in_vain_ >= kTries) gave_up_ = GaveUp::drops_out_again;
}

void RadioSwitch::try_to_return(double time_s, double supply_v) {
  if (gave_up_ != GaveUp::no) return;
  const double off_s = time_s - since_s_;
  if (off_s_ >= kLongestOff_s) {
    gave_up_ = GaveUp::off_too_long;
  } else if (off_s >= restart_s(radio_) && supply_v >= restart_v(radio_) &&
             supply_v <= radio_.supply_max_v) {
    on_ = true;
    got_through_ = false;
    since_s_ = time_s;
  } else if (off_s >= restart_s(radio_) + kLongestRecovery_s) {
    gave_up_ = GaveUp::does_not_recover;
  }
}

}  // namespace sagbench::analysis
