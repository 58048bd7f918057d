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
  truth.input_on = parts_->load.input_on();
  return truth;
}

std::unique_ptr<Transport> VirtualBench::load_transport(Clock& clock) {
  return std::make_unique<VirtualTransport>(load(), clock, "virtual load");
}

std::unique_ptr<Transport> VirtualBench::meter_transport(Clock& clock) {
  return std::make_unique<VirtualTransport>(meter(), clock, "virtual meter");
}

}  // namespace sagbench::drivers::virtual_bench
