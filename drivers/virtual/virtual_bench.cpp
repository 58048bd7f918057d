#include "drivers/virtual/virtual_bench.hpp"

#include "drivers/virtual/virtual_load.hpp"
#include "drivers/virtual/virtual_meter.hpp"
#include "drivers/virtual/virtual_pack.hpp"
#include "drivers/virtual/virtual_transport.hpp"

namespace sagbench::drivers::virtual_bench {

struct VirtualBench::Parts {
  Parts(const WorldSpec& world, const LoadSpec& load_spec,
        const std::optional<MeterSpec>& meter_spec, std::uint64_t seed)
      : pack(world, seed), load(pack, load_spec, world.leads_ohm, seed) {
    if (meter_spec) meter.emplace(pack, *meter_spec, seed);
  }

  VirtualPack pack;
  VirtualLoad load;
  std::optional<VirtualMeter> meter;
  Defects defects;
};

VirtualBench::VirtualBench(const WorldSpec& world, const LoadSpec& load,
                           const std::optional<MeterSpec>& meter, std::uint64_t seed)
    : parts_(std::make_unique<Parts>(world, load, meter, seed)) {}

VirtualBench::~VirtualBench() = default;

VirtualInstrument& VirtualBench::load() noexcept {
  return parts_->load.instrument();
}

VirtualInstrument& VirtualBench::meter() noexcept {
  return parts_->meter->instrument();
}

void VirtualBench::recharge(Time now) {
  parts_->pack.advance(now);
  parts_->pack.recharge();
}

Truth VirtualBench::truth(Time now) {
  parts_->pack.advance(now);
  Truth truth = parts_->pack.truth();
  parts_->load.tell(truth);
  return truth;
}

void VirtualBench::set_defects(Time now, const Defects& defects) {
  parts_->pack.advance(now);
  parts_->defects = defects;
  parts_->pack.set_joint_ohm(defects.joint_ohm);
  parts_->load.set_defects(defects);
  if (parts_->meter) parts_->meter->set_defects(defects);
}

const Defects& VirtualBench::defects() const noexcept {
  return parts_->defects;
}

void VirtualBench::power_cycle_load(Time now) {
  parts_->load.power_cycle(now);
}

void VirtualBench::power_cycle_meter(Time now) {
  parts_->pack.advance(now);
  parts_->meter->power_cycle(now);
}

void VirtualBench::open_board(Time now) {
  parts_->pack.advance(now);
  parts_->pack.open_board();
}

std::unique_ptr<Transport> VirtualBench::load_transport(Clock& clock) {
  return std::make_unique<VirtualTransport>(load(), clock, "virtual load");
}

std::unique_ptr<Transport> VirtualBench::meter_transport(Clock& clock) {
  return std::make_unique<VirtualTransport>(meter(), clock, "virtual meter");
}

}  // namespace sagbench::drivers::virtual_bench
