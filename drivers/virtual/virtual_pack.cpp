#include "drivers/virtual/virtual_pack.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "drivers/random.hpp"

namespace sagbench::drivers::virtual_bench {
namespace {

constexpr std::uint64_t kPackStream = 1;
constexpr double kSecondsPerHour = 3600.0;
constexpr double kBoardOhm = 0.002;              // the board's switches, common practice, no source
constexpr double kHeatCapacityJPerKgK = 1000.0;  // typical of packs, from memory
constexpr double kHeatLossWPerK =
    0.25;  // of a 1 kg pack in still air, from memory; grows with its surface
constexpr double kTemperatureStepC = 0.05;  // resistances are looked up again after this change
constexpr Time kFirstStep = std::chrono::milliseconds(10);  // after a change of current
constexpr Time kLongestStep = std::chrono::seconds(1);

// Everything that follows divides by the capacity and counts on the cells.
const WorldSpec& checked(const WorldSpec& world) {
  if (!(world.pack.rated_capacity_ah > 0.0) || world.pack.series < 1) {
    throw std::invalid_argument("a virtual pack needs a rated capacity and a cell");
  }
  if (!world.cells.empty() && world.cells.size() != static_cast<std::size_t>(world.pack.series)) {
    throw std::invalid_argument("a virtual pack needs one cell trait a series position");
  }
  return world;
}

std::vector<CellTrait> traits_of(const WorldSpec& world, std::uint64_t seed) {
  if (!world.cells.empty()) return world.cells;
  Random random(seed, kPackStream);
  const double mean_capacity = random.uniform(0.97, 1.04);
  std::vector<CellTrait> traits(static_cast<std::size_t>(world.pack.series));
  for (CellTrait& trait : traits) {
    trait.capacity_factor = mean_capacity * random.uniform(0.99, 1.01);
    trait.resistance_factor = random.uniform(0.95, 1.05);
    trait.charge_offset = random.uniform(0.0, 0.005);
  }
  return traits;
}

double mass_kg(const analysis::Pack& pack, const CellType& type) {
  const double energy_wh =
      pack.rated_capacity_ah * pack.series * analysis::limits_of(pack.chemistry).nominal_v;
  return pack.mass_kg.value_or(energy_wh / type.energy_wh_per_kg);
}

}  // namespace

VirtualPack::VirtualPack(const WorldSpec& world, std::uint64_t seed)
    : world_(checked(world)),
      type_(&cell_type_of(world.pack.chemistry)),
      floor_v_(analysis::limits_of(world.pack.chemistry).floor_v),
      heat_capacity_j_k_(kHeatCapacityJPerKgK * mass_kg(world.pack, *type_)),
      heat_loss_w_k_(kHeatLossWPerK * std::pow(mass_kg(world.pack, *type_), 2.0 / 3.0)),
      longest_step_(kFirstStep),
      factors_(*type_, 0.0, world.ambient_c),
      temperature_c_(world.ambient_c),
      ever_lowest_v_(std::numeric_limits<double>::infinity()) {
  for (const CellTrait& trait : traits_of(world, seed)) {
    cells_.emplace_back(*type_, open_circuit_of(world.pack.chemistry), world.pack.rated_capacity_ah,
                        trait.capacity_factor, trait.resistance_factor);
    cells_.back().fill(1.0 - trait.charge_offset);
  }
  if (world.pack.protection_board) board_.emplace(world.pack);
  recharge();
  if (world.missing_charge == 0.0) return;
  for (Cell& cell : cells_) cell.fill(std::max(0.0, cell.charge() - world.missing_charge));
  settle(0.0);
}

void VirtualPack::recharge() {
  // Cells in series take the same charge: what one lacks against another stays as it is.
  double least_missing_ah = cells_.front().capacity_ah();
  for (const Cell& cell : cells_) {
    least_missing_ah = std::min(least_missing_ah, (1.0 - cell.charge()) * cell.capacity_ah());
  }
  for (Cell& cell : cells_) cell.fill(cell.charge() + least_missing_ah / cell.capacity_ah());
  charge_removed_ah_ = 0.0;
  temperature_c_ = world_.ambient_c;
  lowest_v_.assign(cells_.size(), std::numeric_limits<double>::infinity());
  if (board_) board_->reset();
  prepare(0.0);
  settle(0.0);
}

void VirtualPack::open_board() {
  if (!board_) return;
  board_->force_open();
  settle(0.0);
}

void VirtualPack::set_joint_ohm(double ohm) {
  joint_ohm_ = ohm;
  settle(0.0);
}

void VirtualPack::advance(Time now) {
  for (;;) {
    while (next_look() <= time_) watcher_->look(time_);
    if (time_ >= now) return;
    step(std::min({now - time_, next_step(), next_look() - time_}));
  }
}

void VirtualPack::connect(const Sink& sink) {
  sink_ = sink;
  longest_step_ = kFirstStep;
  settle(0.0);
}

Time VirtualPack::next_step() const noexcept {
  if (!board_) return longest_step_;
  return std::min(longest_step_,
                  from_seconds(std::min(board_->look_again_within_s(), to_seconds(kLongestStep))));
}

void VirtualPack::step(Time length) {
  const double step_s = to_seconds(length);
  prepare(step_s);
  for (Cell& cell : cells_) cell.discharge(current_a_, factors_);
  charge_removed_ah_ += current_a_ * step_s / kSecondsPerHour;
  warm(step_s);
  time_ += length;
  if (current_a_ > 0.0) last_drawn_ = time_;
  longest_step_ = std::min(2 * longest_step_, kLongestStep);
  settle(step_s);
}

void VirtualPack::prepare(double step_s) {
  const bool same_temperature =
      std::abs(factors_.temperature_c - temperature_c_) < kTemperatureStepC;
  if (factors_.step_s == step_s && same_temperature) return;
  factors_ =
      StepFactors(*type_, step_s, same_temperature ? factors_.temperature_c : temperature_c_);
}

void VirtualPack::warm(double step_s) {
  double heat_w = 0.0;
  for (const Cell& cell : cells_) heat_w += cell.heat_w(current_a_, factors_);
  const double end_c = world_.ambient_c + heat_w / heat_loss_w_k_;
  temperature_c_ =
      end_c + (temperature_c_ - end_c) * std::exp(-step_s * heat_loss_w_k_ / heat_capacity_j_k_);
}

void VirtualPack::settle(double elapsed_s) {
  current_a_ = drawable_a();
  if (board_) {
    board_->observe(current_a_, lowest_cell_v(), sink_.current_a <= 0.0, elapsed_s);
    if (board_->open()) current_a_ = 0.0;
  }
  for (std::size_t i = 0; i < cells_.size(); ++i) lowest_v_[i] = std::min(lowest_v_[i], cell_v(i));
  highest_current_a_ = std::max(highest_current_a_, current_a_);
  ever_lowest_v_ = std::min(ever_lowest_v_, lowest_cell_v());
}

double VirtualPack::drawable_a() const {
  if (sink_.current_a <= 0.0 || board_open()) return 0.0;
  const double source = source_v();
  const double ohm = ohmic_ohm() + sink_.leads_ohm;
  const double current =
      std::min(sink_.current_a, std::max(0.0, (source - sink_.min_voltage_v) / ohm));
  const bool too_much =
      sink_.max_power_w > 0.0 && current * (source - current * ohm) > sink_.max_power_w;
  if (!too_much) return current;
  // The smaller root of I (E - I R) = P; it exists because a larger power is within reach.
  return (source - std::sqrt(source * source - 4.0 * ohm * sink_.max_power_w)) / (2.0 * ohm);
}

double VirtualPack::ohmic_ohm() const noexcept {
  double ohm = world_.contact_ohm + joint_ohm_ + (board_ ? kBoardOhm : 0.0);
  for (const Cell& cell : cells_) ohm += cell.ohmic_ohm(factors_.ohmic_scale);
  return ohm;
}

double VirtualPack::source_v() const noexcept {
  double volts = 0.0;
  for (const Cell& cell : cells_) volts += cell.source_v();
  return volts;
}

double VirtualPack::sense_v() const noexcept {
  return board_open() ? 0.0 : source_v() - current_a_ * ohmic_ohm();
}

double VirtualPack::cell_v(std::size_t cell) const noexcept {
  return cells_[cell].source_v() - current_a_ * cells_[cell].ohmic_ohm(factors_.ohmic_scale);
}

double VirtualPack::lowest_cell_v() const noexcept {
  double lowest = cell_v(0);
  for (std::size_t i = 1; i < cells_.size(); ++i) lowest = std::min(lowest, cell_v(i));
  return lowest;
}

Truth VirtualPack::truth() const {
  Truth truth;
  truth.charge_removed_ah = charge_removed_ah_;
  truth.pack_v = sense_v();
  truth.current_a = current_a_;
  for (std::size_t i = 0; i < cells_.size(); ++i) {
    truth.cell_v.push_back(cell_v(i));
    truth.cell_charge.push_back(cells_[i].charge());
    truth.cell_below_floor = truth.cell_below_floor || lowest_v_[i] < floor_v_;
  }
  truth.cell_lowest_v = lowest_v_;
  truth.temperature_c = temperature_c_;
  truth.board_open = board_open();
  truth.highest_current_a = highest_current_a_;
  truth.ever_lowest_cell_v = ever_lowest_v_;
  truth.last_drawn = last_drawn_;
  return truth;
}

}  // namespace sagbench::drivers::virtual_bench
