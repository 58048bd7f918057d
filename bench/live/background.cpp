#include "bench/live/background.hpp"

#include <sys/resource.h>
#include <unistd.h>

namespace sagbench::live {
namespace {

constexpr int kNiceness = 10;

}  // namespace

Background::Background(boost::asio::any_io_executor home)
    : home_(std::move(home)), under_way_(std::make_shared<int>(0)) {
  boost::asio::post(thread_,
                    [] { setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), kNiceness); });
}

Background::~Background() {
  close();
}

void Background::close() {
  thread_.stop();
  thread_.join();
}

}  // namespace sagbench::live
