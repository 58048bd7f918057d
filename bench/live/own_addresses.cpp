#include "bench/live/own_addresses.hpp"

#include <algorithm>

namespace sagbench::live {
namespace {

namespace ip = boost::asio::ip;

bool may_be_reached(const ip::address& address) {
  const bool link_local =
      address.is_v6() ? address.to_v6().is_link_local() : address.to_v4().to_bytes()[0] == 169;
  return !address.is_loopback() && !link_local;
}

}  // namespace

std::vector<ip::address> own_addresses() {
  std::vector<ip::address> found = interface_addresses();
  std::erase_if(found, [](const ip::address& address) { return !may_be_reached(address); });
  std::ranges::stable_sort(found, {}, &ip::address::is_v6);
  return found;
}

}  // namespace sagbench::live
