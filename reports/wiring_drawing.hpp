#pragma once
// How a pack is connected to load and meter by four terminals, as a picture.

#include <optional>
#include <string>
#include <vector>

#include "reports/canvas.hpp"

namespace sagbench::reports {

/// What there is to connect.
struct Wiring {
  int cells = 4;               // in series, of the pack
  std::string fuse = "fuse";   // in the heavy lead: "30 A fuse"
  bool meter = true;           // else the load's own sense terminals
  std::string pack_channel{};  // of a scanner: "channel 101"; empty: the meter's terminals
  /// Channels of the cells that are tapped, from the negative end up.
  std::vector<int> cell_channels{};
  std::optional<int> thermometer_channel{};
};

/// Points; as wide as may be given, and at least this high.
inline constexpr double kWiringHeight = 205.0;

/// Needs a width of 400 at least.
void draw_wiring(Canvas& canvas, const Rect& room, const Wiring& wiring);

/// The same for who does not see it.
std::string words_of(const Wiring& wiring);

}  // namespace sagbench::reports
