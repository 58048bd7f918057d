// How long drawing six charts of 360,000 samples takes, from the samples in memory to a PDF in a
// file. Writes the samples as doubles (time, voltage, current, temperature, then four cells) to the
// second file named, for another program to draw the same, and prints for each of five rounds the
// milliseconds, then the file's bytes and the most memory held, in MB, before and after drawing.

#include <fmt/format.h>
#include <sys/resource.h>

#include <chrono>
#include <cmath>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include "reports/chart.hpp"
#include "reports/pdf_document.hpp"
#include "reports/thinning.hpp"

using namespace sagbench::reports;

namespace {

constexpr int kSamples = 360'000;
constexpr int kCells = 4;
constexpr double kEvery_h = 0.1 / 3600.0;

/// What a pack recorded in ten hours at 10 Hz: a discharge with noise, and a pulse now and then.
struct Samples {
  std::vector<double> hours, voltage_v, current_a, temperature_c;
  std::vector<std::vector<double>> cell_v = std::vector<std::vector<double>>(kCells);
};

Samples recorded() {
  std::mt19937_64 engine(1);
  std::normal_distribution<double> noise(0.0, 0.0005);
  Samples all;
  for (int i = 0; i < kSamples; ++i) {
    const double done = static_cast<double>(i) / kSamples;
    const double current_a = i % 3000 < 100 ? 10.0 : 1.0;
    const double source_v = 3.32 - 0.08 * done - 0.5 * std::exp(60.0 * (done - 1.0));
    double pack_v = 0.0;
    for (int cell = 0; cell < kCells; ++cell) {
      const double cell_v = source_v - current_a * (0.004 + 0.0003 * cell) + noise(engine);
      all.cell_v[static_cast<std::size_t>(cell)].push_back(cell_v);
      pack_v += cell_v;
    }
    all.hours.push_back(i * kEvery_h);
    all.voltage_v.push_back(pack_v);
    all.current_a.push_back(current_a + noise(engine));
    all.temperature_c.push_back(23.0 + 3.0 * done + 100.0 * noise(engine));
  }
  return all;
}

void write_columns(const Samples& all, const std::string& path) {
  std::ofstream file(path, std::ios::binary);
  const auto write = [&file](const std::vector<double>& column) {
    file.write(reinterpret_cast<const char*>(column.data()),
               static_cast<std::streamsize>(column.size() * sizeof(double)));
  };
  for (const auto* column : {&all.hours, &all.voltage_v, &all.current_a, &all.temperature_c})
    write(*column);
  for (const auto& cell : all.cell_v) write(cell);
}

std::vector<Point> points(const std::vector<double>& x, const std::vector<double>& y) {
  PointThinner result(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) result.add({x[i], y[i]});
  return result.take();
}

Chart chart(std::string title, std::string x_title, std::string y_title,
            std::vector<Curve> curves) {
  Chart chart;
  chart.title = std::move(title);
  chart.x_title = std::move(x_title);
  chart.panels.emplace_back();
  chart.panels.back().y_title = std::move(y_title);
  chart.panels.back().curves = std::move(curves);
  return chart;
}

std::vector<Curve> one(std::vector<Point> curve) {
  std::vector<Curve> curves;
  curves.push_back({"", std::move(curve), {{kBlack, 0.8}, Marker::none}});
  return curves;
}

struct Removed {
  std::vector<double> charge_ah, energy_wh;
};

Removed removed(const Samples& all) {
  Removed sums;
  double charge_ah = 0.0, energy_wh = 0.0;
  for (std::size_t i = 0; i < all.hours.size(); ++i) {
    charge_ah += all.current_a[i] * kEvery_h;
    energy_wh += all.current_a[i] * all.voltage_v[i] * kEvery_h;
    sums.charge_ah.push_back(charge_ah);
    sums.energy_wh.push_back(energy_wh);
  }
  return sums;
}

std::vector<Chart> six_charts(const Samples& all) {
  const Removed sums = removed(all);
  std::vector<Curve> cells;
  for (std::size_t cell = 0; cell < all.cell_v.size(); ++cell)
    cells.push_back({fmt::format("cell {}", cell + 1), points(sums.charge_ah, all.cell_v[cell]),
                     series_look(cell)});
  const std::string time = "Time (h)", charge = "Charge removed (Ah)";
  std::vector<Chart> charts;
  charts.push_back(chart("Voltage", time, "Voltage (V)", one(points(all.hours, all.voltage_v))));
  charts.push_back(chart("Current", time, "Current (A)", one(points(all.hours, all.current_a))));
  charts.push_back(
      chart("Temperature", time, "Temperature (°C)", one(points(all.hours, all.temperature_c))));
  charts.push_back(
      chart("Discharge", charge, "Voltage (V)", one(points(sums.charge_ah, all.voltage_v))));
  charts.push_back(
      chart("Energy", charge, "Energy (Wh)", one(points(sums.charge_ah, sums.energy_wh))));
  charts.push_back(chart("Cells", charge, "Cell voltage (V)", std::move(cells)));
  return charts;
}

std::size_t draw(const Samples& all, const std::string& path) {
  PdfDocument document("Six charts", "");
  Canvas* canvas = nullptr;
  int number = 0;
  for (const Chart& chart : six_charts(all)) {
    const int row = number++ % 2;
    if (row == 0) canvas = &document.add_page();
    const Rect& inner = canvas->inner();
    const double height = inner.height / 2 - 10;
    draw_chart(*canvas, {inner.x, inner.y + row * (height + 20), inner.width, height}, chart);
  }
  const std::string bytes = document.bytes();
  std::ofstream(path, std::ios::binary) << bytes;
  return bytes.size();
}

double most_mb() {
  rusage used{};
  ::getrusage(RUSAGE_SELF, &used);
  return static_cast<double>(used.ru_maxrss) / 1000.0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const Samples all = recorded();
  write_columns(all, argv[2]);
  const double before_mb = most_mb();
  std::size_t bytes = 0;
  for (int round = 0; round < 5; ++round) {
    const auto begin = std::chrono::steady_clock::now();
    bytes = draw(all, argv[1]);
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - begin;
    fmt::print("{:.2f}\n", took.count());
  }
  fmt::print("{}\n{:.1f}\n{:.1f}\n", bytes, before_mb, most_mb());
}
