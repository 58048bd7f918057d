#pragma once
// ADDR:PORT of the command line: where the live page is served.

#include <boost/asio/ip/address.hpp>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace sagbench::live {

struct ListenAddress {
  boost::asio::ip::address address;
  std::uint16_t port = 0;  // 0: any that is free
};

/// "127.0.0.1", "[::1]", and nothing else that a system takes for one.
std::optional<boost::asio::ip::address> address_from(std::string_view text);

/// "127.0.0.1:8073", "[::1]:8073", "localhost:8073", "0.0.0.0:8073". `option` is what messages call
/// it. Throws bench::InputError.
ListenAddress parse_listen_address(const std::string& option, const std::string& text);

/// 127.0.0.0/8, ::1, and the first as IPv6 writes it.
bool is_loopback(const boost::asio::ip::address& address);
/// IPv4 in IPv6's clothes is IPv4.
boost::asio::ip::address plain_address(const boost::asio::ip::address& address);
/// "127.0.0.1:8073", "[::1]:8073": as a URL and a Host header have it.
std::string host_text(const boost::asio::ip::address& address, std::uint16_t port);

}  // namespace sagbench::live
