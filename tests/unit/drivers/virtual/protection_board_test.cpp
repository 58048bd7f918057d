#include "drivers/virtual/protection_board.hpp"

#include "catch.hpp"
#include "drivers/virtual/virtual_pack.hpp"
#include "worlds.hpp"

// Thresholds and delays: common practice of such boards, no source.
namespace sagbench::drivers::virtual_bench::test {
namespace {

using namespace std::chrono_literals;

WorldSpec guarded_world() {
  WorldSpec world = lfp_world();
  world.pack.protection_board = true;
  world.pack.max_discharge_current_a = 20.0;
  return world;
}

VirtualPack drawing(const WorldSpec& world, double current_a) {
  VirtualPack pack(world, 1);
  Sink sink;
  sink.current_a = current_a;
  pack.connect(sink);
  return pack;
}

}  // namespace

TEST_CASE("over-current opens the board after its delay, a short circuit at once") {
  SECTION("at the limit it stays closed") {
    VirtualPack pack = drawing(guarded_world(), 23.9);
    pack.advance(1min);
    CHECK_FALSE(pack.board_open());
  }
  SECTION("above it opens after 10 ms") {
    VirtualPack pack = drawing(guarded_world(), 24.1);
    pack.advance(9ms);
    CHECK_FALSE(pack.board_open());
    pack.advance(12ms);
    CHECK(pack.board_open());
    CHECK(pack.current_a() == 0.0);
    CHECK(pack.sense_v() == 0.0);
    CHECK(pack.cell_v(0) > 3.0);
  }
  SECTION("three times the limit opens at once") {
    VirtualPack pack = drawing(guarded_world(), 61.0);
    CHECK(pack.board_open());
  }
}

TEST_CASE("the board stays open until the load is gone for a second") {
  VirtualPack pack = drawing(guarded_world(), 30.0);
  pack.advance(10s);
  REQUIRE(pack.board_open());
  pack.connect(Sink{});
  pack.advance(10s + 900ms);
  CHECK(pack.board_open());
  pack.advance(12s);
  CHECK_FALSE(pack.board_open());
  CHECK(pack.sense_v() > 12.0);
}

TEST_CASE("a cell below 2.2 V opens the board before the cell reaches its floor") {
  WorldSpec world = guarded_world();
  world.cells[0].capacity_factor = 0.9;
  VirtualPack pack = drawing(world, 10.0);
  pack.advance(1h);
  CHECK(pack.board_open());
  const Truth truth = pack.truth();
  CHECK_FALSE(truth.cell_below_floor);
  CHECK(truth.cell_lowest_v[0] < 2.2);
  CHECK(truth.cell_lowest_v[0] > 2.1);
}

TEST_CASE("a pack without a board does not protect itself") {
  WorldSpec world = guarded_world();
  world.pack.protection_board = false;
  VirtualPack pack = drawing(world, 70.0);
  pack.advance(1s);
  CHECK_FALSE(pack.board_open());
  CHECK(pack.current_a() == 70.0);
}

// A board must not end the discharge of a chemistry before its own end-of-discharge voltage.
TEST_CASE("no board opens above the chemistry's end-of-discharge voltage") {
  using analysis::Chemistry;
  const auto chemistry =
      GENERATE(Chemistry::lfp, Chemistry::nmc, Chemistry::nca, Chemistry::lco, Chemistry::agm,
               Chemistry::gel, Chemistry::flooded, Chemistry::nimh);
  analysis::Pack described;
  described.chemistry = chemistry;
  described.rated_capacity_ah = 10.0;
  ProtectionBoard board(described);
  const double end_v = analysis::limits_of(chemistry).end_of_discharge_v;
  board.observe(1.0, end_v, false, 0.0);
  board.observe(1.0, end_v, false, 10.0);
  CHECK_FALSE(board.open());
  board.observe(1.0, analysis::limits_of(chemistry).floor_v - 0.01, false, 0.0);
  board.observe(1.0, analysis::limits_of(chemistry).floor_v - 0.01, false, 10.0);
  CHECK(board.open());
}

}  // namespace sagbench::drivers::virtual_bench::test
