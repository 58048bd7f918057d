#pragma once
// A request as it came, its header's fields that matter picked out.

#include <boost/asio/ip/address.hpp>
#include <optional>
#include <string>

namespace sagbench::live {

struct Request {
  std::string method;
  std::string target;  // path and query, as sent
  std::string host;    // empty: there was none, or more than one
  std::optional<std::string> origin, fetch_site;
  std::string authorization, content_type, protocols;
  bool upgrade = false;  // to a WebSocket
  std::string body;
  boost::asio::ip::address peer;
};

}  // namespace sagbench::live
