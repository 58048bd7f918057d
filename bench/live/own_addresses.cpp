#include "bench/live/own_addresses.hpp"

#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>

#include <algorithm>
#include <cstring>
#include <memory>
#include <optional>

namespace sagbench::live {
namespace {

namespace ip = boost::asio::ip;

std::optional<ip::address> address_of(const sockaddr& from) {
  if (from.sa_family == AF_INET) {
    sockaddr_in v4{};
    std::memcpy(&v4, &from, sizeof v4);
    return ip::address_v4(ntohl(v4.sin_addr.s_addr));
  }
  if (from.sa_family != AF_INET6) return std::nullopt;
  sockaddr_in6 v6{};
  std::memcpy(&v6, &from, sizeof v6);
  ip::address_v6::bytes_type bytes;
  std::memcpy(bytes.data(), &v6.sin6_addr, bytes.size());
  return ip::address_v6(bytes);
}

bool may_be_reached(const ip::address& address) {
  const bool link_local =
      address.is_v6() ? address.to_v6().is_link_local() : address.to_v4().to_bytes()[0] == 169;
  return !address.is_loopback() && !link_local;
}

}  // namespace

std::vector<ip::address> own_addresses() {
  ifaddrs* all = nullptr;
  if (getifaddrs(&all) != 0) return {};
  const std::unique_ptr<ifaddrs, decltype(&freeifaddrs)> list(all, freeifaddrs);
  std::vector<ip::address> found;
  for (const ifaddrs* one = list.get(); one != nullptr; one = one->ifa_next) {
    if (one->ifa_addr == nullptr || (one->ifa_flags & IFF_UP) == 0) continue;
    const auto address = address_of(*one->ifa_addr);
    if (address && may_be_reached(*address)) found.push_back(*address);
  }
  std::ranges::stable_sort(found, {}, &ip::address::is_v6);
  return found;
}

}  // namespace sagbench::live
