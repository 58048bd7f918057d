#pragma once
#include <boost/asio/ip/address.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <optional>
#include <vector>

namespace sagbench::live {

/// Those of this computer's interfaces that are up, loopback and link-local ones left out, IPv4
/// first. Empty where the system does not tell.
std::vector<boost::asio::ip::address> own_addresses();
/// All of them, those too that nobody else can reach, as the system lists them.
std::vector<boost::asio::ip::address> interface_addresses();

/// As the system writes them: sockaddr.
using SocketAddress = boost::asio::ip::tcp::endpoint::data_type;
/// Absent where it is neither IPv4 nor IPv6.
std::optional<boost::asio::ip::address> address_of(const SocketAddress& from);

}  // namespace sagbench::live
