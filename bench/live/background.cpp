#include "bench/live/background.hpp"

#include "bench/live/give_way.hpp"

namespace sagbench::live {

Background::Background(boost::asio::any_io_executor home)
    : home_(std::move(home)), under_way_(std::make_shared<int>(0)) {
  boost::asio::post(thread_, give_way);
}

Background::~Background() {
  close();
}

void Background::close() {
  thread_.stop();
  thread_.join();
}

}  // namespace sagbench::live
