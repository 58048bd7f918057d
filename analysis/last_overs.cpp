#include "analysis/last_overs.hpp"

#include <algorithm>
#include <limits>

#include "analysis/radio_stage.hpp"
#include "analysis/radio_switch.hpp"
#include "analysis/relaxation.hpp"

namespace sagbench::analysis {
namespace {

constexpr double kHour_s = 3600.0;
constexpr double kLook_s = 0.05;               // transmitting
constexpr double kListen_s = 0.5;              // receiving
constexpr double kSilent_s = 0.2;              // while the radio is off
constexpr double kLongest_s = 24.0 * kHour_s;  // a pack that does not fall any more

class Player {
 public:
  Player(const Outing& outing, const Pack& pack, const SourceCurve& curve, const NearEnd& from)
      : outing_(outing),
        pack_(pack),
        curve_(curve),
        switch_(outing.radio),
        past_(from.mean_a),
        depth_ah_(from.depth_ah),
        pack_v_(curve.at(from.depth_ah).pack_v -
                curve.response_at(from.depth_ah).sag_v(from.mean_a, past_)) {}

  LastOvers run(std::size_t next) {
    while (!over()) {
      const SentPiece& piece = outing_.sent[next];
      tell_of_overs(piece.transmitting);
      send(piece);
      stay_silent();
      next = (next + 1) % outing_.sent.size();
    }
    if (gave_up()) found_.ended_by = kBySupply;
    return found_;
  }

 private:
  bool gave_up() const { return switch_.gave_up() != RadioSwitch::GaveUp::no; }
  bool over() const { return gave_up() || !found_.ended_by.empty(); }
  void tell_of_overs(bool transmitting) {
    if (transmitting && !transmitting_) switch_.over_began();
    if (!transmitting && transmitting_) switch_.over_ended();
    transmitting_ = transmitting;
  }
  void send(const SentPiece& piece) {
    const double look_s = piece.transmitting ? kLook_s : kListen_s;
    for (double left_s = piece.seconds; left_s > 0.0 && switch_.is_on() && !over();) {
      const double seconds = std::min(look_s, left_s);
      draw(operating_point(outing_.radio, {piece.transmitting, piece.level}, pack_v_).current_a,
           seconds);
      found_.hours = time_s_ / kHour_s;
      found_.lowest_supply_v = std::min(found_.lowest_supply_v, supply_v_);
      left_s -= seconds;
    }
  }
  void stay_silent() {
    while (!switch_.is_on() && !over()) draw(0.0, kSilent_s);
  }
  void draw(double current_a, double seconds) {
    past_.advance(current_a, seconds == kLook_s ? kept_ : Relaxation::kept_after(seconds));
    time_s_ += seconds;
    depth_ah_ += current_a * seconds / kHour_s;
    const SourcePoint source = curve_.at(depth_ah_);
    const double sag_v = curve_.response_at(depth_ah_).sag_v(current_a, past_);
    pack_v_ = source.pack_v - sag_v;
    supply_v_ = supply_at_radio_v(outing_.radio, pack_v_, current_a);
    if (outing_.until_supply_min) switch_.see(time_s_, supply_v_);
    if (!(pack_v_ > end_of_discharge_voltage_v(pack_)) || time_s_ > kLongest_s)
      found_.ended_by = kByPack;
    else if (source.cell_v &&
             !(*source.cell_v - sag_v / pack_.series > cell_end_of_discharge_v(pack_)))
      found_.ended_by = kByCell;
  }

  const Outing& outing_;
  const Pack& pack_;
  const SourceCurve& curve_;
  RadioSwitch switch_;
  Relaxation::Currents kept_ = Relaxation::kept_after(kLook_s);
  Relaxation past_;
  double depth_ah_;
  double pack_v_;  // as last seen: what decides the current
  double supply_v_ = 0.0;
  double time_s_ = 0.0;
  bool transmitting_ = false;
  LastOvers found_{0.0, std::numeric_limits<double>::infinity(), {}};
};

}  // namespace

LastOvers last_overs(const Outing& outing, const Pack& pack, const SourceCurve& curve,
                     const NearEnd& from, std::size_t first) {
  return Player(outing, pack, curve, from).run(first);
}

}  // namespace sagbench::analysis
