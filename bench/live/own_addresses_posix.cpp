#include <ifaddrs.h>
#include <net/if.h>

#include <memory>

#include "bench/live/own_addresses.hpp"

namespace sagbench::live {

namespace ip = boost::asio::ip;

std::vector<ip::address> interface_addresses() {
  ifaddrs* all = nullptr;
  if (getifaddrs(&all) != 0) return {};
  const std::unique_ptr<ifaddrs, decltype(&freeifaddrs)> list(all, freeifaddrs);
  std::vector<ip::address> found;
  for (const ifaddrs* one = list.get(); one != nullptr; one = one->ifa_next) {
    if (one->ifa_addr == nullptr || (one->ifa_flags & IFF_UP) == 0) continue;
    const auto address = address_of(*one->ifa_addr);
    if (address) found.push_back(*address);
  }
  return found;
}

}  // namespace sagbench::live
