#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>

#include <cstring>
#include <memory>
#include <optional>

#include "bench/live/own_addresses.hpp"

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

}  // namespace

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
