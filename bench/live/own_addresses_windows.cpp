#include <winsock2.h>
#include <ws2tcpip.h>
// After them: it wants their types.
#include <iphlpapi.h>

#include "bench/live/own_addresses.hpp"

namespace sagbench::live {
namespace {

namespace ip = boost::asio::ip;

using Room = std::vector<unsigned char>;

IP_ADAPTER_ADDRESSES* adapters_in(Room& room) {
  return reinterpret_cast<IP_ADAPTER_ADDRESSES*>(room.data());
}

/// Empty where the system does not tell.
Room adapters() {
  constexpr ULONG kFlags =
      GAA_FLAG_SKIP_ANYCAST | GAA_FLAG_SKIP_MULTICAST | GAA_FLAG_SKIP_DNS_SERVER;
  constexpr int kTries = 4;  // adapters may come between asking how much room and asking for them
  ULONG size = 16384;
  for (int i = 0; i < kTries; ++i) {
    Room room(size);
    const ULONG told = GetAdaptersAddresses(AF_UNSPEC, kFlags, nullptr, adapters_in(room), &size);
    if (told == ERROR_SUCCESS) return room;
    if (told != ERROR_BUFFER_OVERFLOW) return {};
  }
  return {};
}

}  // namespace

std::vector<ip::address> interface_addresses() {
  std::vector<ip::address> found;
  Room room = adapters();
  if (room.empty()) return found;
  for (const auto* adapter = adapters_in(room); adapter != nullptr; adapter = adapter->Next) {
    if (adapter->OperStatus != IfOperStatusUp) continue;
    for (const auto* one = adapter->FirstUnicastAddress; one != nullptr; one = one->Next) {
      const auto address = address_of(*one->Address.lpSockaddr);
      if (address) found.push_back(*address);
    }
  }
  return found;
}

}  // namespace sagbench::live
