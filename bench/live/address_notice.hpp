#pragma once
// Tells the person where the live page is, on standard error.

#include <string>

#include "bench/live/listen_address.hpp"

namespace sagbench::live {

/// With the token, and a picture of the address for a phone, where one is needed. A picture only on
/// a terminal.
void tell_where(const ListenAddress& address, const std::string& token);
/// The run is over and the page still there. `until_told`: until Ctrl-C.
void tell_stay(bool until_told);

/// "http://127.0.0.1:8073/", "http://192.168.1.7:8073/#TOKEN".
std::string page_url(const boost::asio::ip::address& address, std::uint16_t port,
                     const std::string& token);

}  // namespace sagbench::live
