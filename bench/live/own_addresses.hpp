#pragma once
#include <boost/asio/ip/address.hpp>
#include <vector>

namespace sagbench::live {

/// Those of this computer's interfaces that are up, loopback and link-local ones left out, IPv4
/// first. Empty where the system does not tell.
std::vector<boost::asio::ip::address> own_addresses();
/// All of them, those too that nobody else can reach, as the system lists them.
std::vector<boost::asio::ip::address> interface_addresses();

}  // namespace sagbench::live
