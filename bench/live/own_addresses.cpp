#include "bench/live/own_addresses.hpp"

#include <algorithm>
#include <cstring>

namespace sagbench::live {
namespace {

namespace ip = boost::asio::ip;

bool may_be_reached(const ip::address& address) {
  const bool link_local =
      address.is_v6() ? address.to_v6().is_link_local() : address.to_v4().to_bytes()[0] == 169;
  return !address.is_loopback() && !link_local;
}

}  // namespace

std::optional<ip::address> address_of(const SocketAddress& from) {
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

std::vector<ip::address> own_addresses() {
  std::vector<ip::address> found = interface_addresses();
  std::erase_if(found, [](const ip::address& address) { return !may_be_reached(address); });
  std::ranges::stable_sort(found, {}, &ip::address::is_v6);
  return found;
}

}  // namespace sagbench::live
