#include "reports/wiring_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "reports/paragraph.hpp"

namespace sagbench::reports {
namespace {

constexpr Stroke kHeavy{kInk, 3.2};
constexpr Stroke kSense{kBlue, 1.0};
constexpr Stroke kTap{kGrey, 0.7};
constexpr Stroke kWarm{kVermilion, 1.0, {4, 2}};
constexpr Stroke kBox{kInk, 0.9};
constexpr double kTerminal = 3.4;  // radius
constexpr Font kName{8.0, Weight::bold, kInk};
constexpr Font kLabel{6.6, Weight::regular, kInk};
constexpr Font kBlueLabel{6.6, Weight::regular, kBlue};
constexpr int kMostCellsDrawn = 6;

/// Where things stand, from the picture's top left corner.
struct Places {
  Rect pack, meter, load;
  double plus_y, minus_y;  // of the pack's terminals, and the load's
};

Places places_in(const Rect& room) {
  const double top = room.y + 34;
  const Rect pack{room.x, top, 88, 132};
  const Rect load{room.right() - 84, top, 84, 132};
  const double middle = (pack.right() + load.x) / 2;
  return {pack, {middle + 4, top + 36, 78, 62}, load, top + 12, top + 120};
}

void box(Canvas& canvas, const Rect& rect, const Colour& fill) {
  canvas.fill(rect, fill);
  canvas.frame(rect, kBox);
}

void terminal(Canvas& canvas, Point at, bool plus) {
  canvas.disc(at, kTerminal, plus ? kVermilion : kInk);
  canvas.ring(at, kTerminal, {kInk, 0.8});
}

/// A fuse: a box on the conductor, around `centre`.
void fuse(Canvas& canvas, Point centre, double width, double height) {
  const Rect rect{centre.x - width / 2, centre.y - height / 2, width, height};
  canvas.fill(rect, kWhite);
  canvas.frame(rect, {kInk, 0.8});
  canvas.line({rect.x, centre.y}, {rect.right(), centre.y}, {kInk, 0.6});
}

void wire(Canvas& canvas, std::vector<Point> way, const Stroke& stroke) {
  canvas.polyline(way, stroke);
}

double tap_y(const Places& at, int cell, int cells) {
  return at.pack.bottom() - 8 -
         (at.pack.height - 16) * static_cast<double>(cell) / static_cast<double>(cells);
}

/// The cells, the first at the negative end; of many only the ends.
void draw_pack(Canvas& canvas, const Places& at, int cells) {
  box(canvas, at.pack, kMist);
  const bool all = cells <= kMostCellsDrawn;
  const int drawn = all ? cells : kMostCellsDrawn;
  for (int i = 0; i < drawn; ++i) {
    const double top = tap_y(at, i + 1, drawn);
    const Rect cell{at.pack.x + 14, top + 1.5, 46, tap_y(at, i, drawn) - top - 3};
    box(canvas, cell, kWhite);
    const bool gap = !all && i == drawn / 2;
    const int number = all || i < drawn / 2 ? i + 1 : cells - drawn + i + 1;
    canvas.text({cell.x + cell.width / 2, cell.y + cell.height / 2 + 2.3},
                gap ? "\xE2\x80\xA6" : fmt::format("cell {}", number), kLabel, Align::centre);
  }
  canvas.text({at.pack.x + at.pack.width / 2, at.pack.bottom() + 12}, "pack", kName, Align::centre);
}

/// Over whatever is joined to them.
void draw_terminals(Canvas& canvas, const Places& at) {
  terminal(canvas, {at.pack.right(), at.plus_y}, true);
  terminal(canvas, {at.pack.right(), at.minus_y}, false);
  canvas.text({at.pack.right() - 6, at.plus_y + 2.4}, "+", kName, Align::right);
  canvas.text({at.pack.right() - 6, at.minus_y + 2.4}, "\xE2\x88\x92", kName, Align::right);
}

void draw_load(Canvas& canvas, const Places& at) {
  box(canvas, at.load, kMist);
  canvas.text({at.load.x + at.load.width / 2 + 6, at.load.y + at.load.height / 2 + 3}, "load",
              kName, Align::centre);
  canvas.text({at.load.x + 7, at.plus_y + 2.4}, "+", kName);
  canvas.text({at.load.x + 7, at.minus_y + 2.4}, "\xE2\x88\x92", kName);
}

void draw_heavy_leads(Canvas& canvas, const Places& at, const Wiring& wiring) {
  for (const double y : {at.plus_y, at.minus_y})
    wire(canvas, {{at.pack.right(), y}, {at.load.x, y}}, kHeavy);
  const Point at_fuse{at.pack.right() + 42, at.plus_y};
  fuse(canvas, at_fuse, 26, 9);
  canvas.text({at_fuse.x, at.plus_y - 18}, wiring.fuse, kLabel, Align::centre);
  canvas.text({at_fuse.x, at.plus_y - 9}, "a hand's breadth away", kLabel, Align::centre);
  canvas.text({at.meter.right(), at.plus_y - 9}, "heavy leads, short and thick", kLabel,
              Align::centre);
  for (const double y : {at.plus_y, at.minus_y}) terminal(canvas, {at.load.x, y}, y == at.plus_y);
}

/// From the pack's own terminals, aside from the heavy leads, to `right` at `upper` and `lower`.
void draw_sense_leads(Canvas& canvas, const Places& at, double right, double upper, double lower) {
  const double left = at.pack.right();
  for (const auto& [from, to] : {std::pair{at.plus_y, upper}, std::pair{at.minus_y, lower}}) {
    wire(canvas, {{left, from}, {left + 16, to}, {right, to}}, kSense);
    fuse(canvas, {left + 30, to}, 14, 5);
    canvas.disc({right, to}, 1.8, kBlue);
  }
}

void draw_taps(Canvas& canvas, const Places& at, const Wiring& wiring, double upper, double lower) {
  const int cells = std::min(wiring.cells, kMostCellsDrawn);
  const double step = (lower - upper) / static_cast<double>(cells);
  for (int cell = 1; cell < cells; ++cell) {
    const double from = tap_y(at, cell, cells);
    const double to = lower - step * static_cast<double>(cell);
    wire(canvas,
         {{at.pack.x + 60, from},
          {at.pack.right() + 4, from},
          {at.pack.right() + 16, to},
          {at.meter.x, to}},
         kTap);
    fuse(canvas, {at.pack.right() + 30, to}, 14, 4);
    canvas.disc({at.meter.x, to}, 1.4, kGrey);
  }
}

void draw_thermometer(Canvas& canvas, const Places& at) {
  const double under = at.pack.bottom() + 24;
  const Point sensor{at.pack.x + 7, at.pack.y + at.pack.height / 2};
  const double to = at.meter.x + at.meter.width / 2;
  wire(canvas, {sensor, {sensor.x, under}, {to, under}, {to, at.meter.bottom()}}, kWarm);
  canvas.disc(sensor, 3.2, kVermilion);
  canvas.text({at.pack.right() + 6, under - 4}, "thermometer: against the middle, covered", kLabel);
}

void draw_meter(Canvas& canvas, const Places& at, const Wiring& wiring) {
  const double upper = at.meter.y + 8;
  const double lower = at.meter.bottom() - 8;
  box(canvas, at.meter, kMist);
  draw_sense_leads(canvas, at, at.meter.x, upper, lower);
  if (!wiring.cell_channels.empty()) draw_taps(canvas, at, wiring, upper, lower);
  if (wiring.thermometer_channel) draw_thermometer(canvas, at);
  const double centre = at.meter.x + at.meter.width / 2 + 4;
  canvas.text({centre, at.meter.y + at.meter.height / 2 + 3}, "meter", kName, Align::centre);
  canvas.text({at.meter.x + 5, upper + 2.4}, "+", kName);
  canvas.text({at.meter.x + 5, lower + 2.4}, "\xE2\x88\x92", kName);
}

std::string channels_of(const Wiring& wiring) {
  std::string text;
  for (std::size_t i = 0; i < wiring.cell_channels.size(); ++i)
    text += fmt::format("{}cell {}: {}", i == 0 ? "" : ", ", i + 1, wiring.cell_channels[i]);
  return text;
}

}  // namespace

void draw_wiring(Canvas& canvas, const Rect& room, const Wiring& wiring) {
  const Places at = places_in(room);
  draw_pack(canvas, at, wiring.cells);
  draw_load(canvas, at);
  draw_heavy_leads(canvas, at, wiring);
  if (wiring.meter) {
    draw_meter(canvas, at, wiring);
  } else {
    draw_sense_leads(canvas, at, at.load.x, at.load.y + 44, at.load.bottom() - 44);
    canvas.text({at.load.x + 6, at.load.y + 42}, "sense +", kBlueLabel);
    canvas.text({at.load.x + 6, at.load.bottom() - 37}, "sense \xE2\x88\x92", kBlueLabel);
  }
  draw_terminals(canvas, at);
  canvas.text({at.pack.right() + 22, at.meter.y + 2},
              wiring.cell_channels.empty() ? "1 A fuses; sense leads, thin"
                                           : "1 A fuses; sense leads and taps, thin",
              kBlueLabel);
}

std::string words_of(const Wiring& wiring) {
  std::string text = fmt::format(
      "Two heavy leads join the pack and the load, with a {} a hand's breadth from the pack's plus "
      "terminal. Two thin sense leads, each behind a 1 A fuse, go from the pack's own terminals "
      "to ",
      wiring.fuse);
  if (!wiring.meter) return text + "the load's sense terminals.";
  text += "the meter";
  if (!wiring.pack_channel.empty()) text += " (" + wiring.pack_channel + ")";
  if (!wiring.cell_channels.empty())
    text += fmt::format(
        "; thin fused taps go from between the cells to its scanner ({}, counted "
        "from the negative end)",
        channels_of(wiring));
  if (wiring.thermometer_channel)
    text +=
        fmt::format("; the thermometer on channel {} lies covered against the middle of the pack",
                    *wiring.thermometer_channel);
  return text + ".";
}

}  // namespace sagbench::reports
