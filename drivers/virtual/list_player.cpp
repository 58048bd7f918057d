#include "drivers/virtual/list_player.hpp"

namespace sagbench::drivers::virtual_bench {

void ListPlayer::start(Time now) {
  playing_ = true;
  point_ = 0;
  passes_left_ = count;
  point_ends_ = now + dwell();
}

void ListPlayer::advance(Time now) {
  while (playing_ && point_ends_ <= now) {
    if (++point_ == currents_a.size()) {
      point_ = 0;
      passes_left_ -= 1.0;
      playing_ = passes_left_ > 0.0;
    }
    if (playing_) point_ends_ += dwell();
  }
}

}  // namespace sagbench::drivers::virtual_bench
