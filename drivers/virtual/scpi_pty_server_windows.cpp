#include "drivers/virtual/scpi_server.hpp"

namespace sagbench::drivers::virtual_bench {

bool ScpiServer::has_pty() noexcept {
  return false;
}

Result<std::unique_ptr<ScpiServer>> ScpiServer::pty(boost::asio::io_context&, Clock&,
                                                    VirtualInstrument&) {
  return Error{ErrorKind::caller, "Windows has no pseudo-terminals"};
}

}  // namespace sagbench::drivers::virtual_bench
