#include "bench/live/address_notice.hpp"

#include <fmt/format.h>

#include <cstdio>
#include <vector>

#include "bench/live/own_addresses.hpp"
#include "bench/live/qr_picture.hpp"
#include "bench/system/terminal.hpp"

namespace sagbench::live {
namespace {

void tell(const std::string& text) {
  std::fputs(text.c_str(), stderr);  // does not throw when the terminal is gone
}

}  // namespace

std::string page_url(const boost::asio::ip::address& address, std::uint16_t port,
                     const std::string& token) {
  return fmt::format("http://{}/{}{}", host_text(address, port), token.empty() ? "" : "#", token);
}

void tell_where(const ListenAddress& address, const std::string& token) {
  std::vector<boost::asio::ip::address> addresses = {address.address};
  if (address.address.is_unspecified()) {
    addresses = own_addresses();
    tell(fmt::format("sagbench: live page: {}\n",
                     page_url(boost::asio::ip::address_v4::loopback(), address.port, "")));
  }
  for (const auto& each : addresses)
    tell(fmt::format("sagbench: live page: {}\n", page_url(each, address.port, token)));
  if (token.empty()) return;
  tell(
      "sagbench: whoever has the address with its token may watch and stop the run; the line is\n"
      "          not encrypted: use it in your own network\n");
  if (bench::stderr_is_terminal() && !addresses.empty())
    tell(qr_picture(page_url(addresses.front(), address.port, token)));
}

void tell_stay(bool until_told) {
  tell(until_told ? "sagbench: the live page stays until Ctrl-C\n"
                  : "sagbench: the live page stays while somebody watches, 15 minutes at most; "
                    "Ctrl-C ends it\n");
}

}  // namespace sagbench::live
