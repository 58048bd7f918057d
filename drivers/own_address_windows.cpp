#include "drivers/own_address.hpp"

#include <winsock2.h>

namespace sagbench::drivers {

// What other systems call reuse lets two programs serve one address here; a closed one is free at
// once without it.
void ask_for_own_address(boost::asio::ip::tcp::acceptor& acceptor,
                         boost::system::error_code& failure) {
  using Exclusive = boost::asio::detail::socket_option::boolean<SOL_SOCKET, SO_EXCLUSIVEADDRUSE>;
  acceptor.set_option(Exclusive(true), failure);
}

}  // namespace sagbench::drivers
