#include "drivers/own_address.hpp"

namespace sagbench::drivers {

void ask_for_own_address(boost::asio::ip::tcp::acceptor& acceptor,
                         boost::system::error_code& failure) {
  acceptor.set_option(boost::asio::socket_base::reuse_address(true), failure);
}

}  // namespace sagbench::drivers
