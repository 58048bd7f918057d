#pragma once
#include <boost/asio/ip/tcp.hpp>
#include <boost/system/error_code.hpp>

namespace sagbench::drivers {

/// Before bind(): the address may be one that an ended program has only just let go of, and must
/// not be one that another program serves.
void ask_for_own_address(boost::asio::ip::tcp::acceptor& acceptor,
                         boost::system::error_code& failure);

}  // namespace sagbench::drivers
