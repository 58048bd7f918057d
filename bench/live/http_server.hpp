#pragma once
// HTTP and WebSocket in front of a LiveService.

#include <boost/asio/io_context.hpp>
#include <memory>
#include <string>

#include "bench/live/access.hpp"
#include "bench/live/listen_address.hpp"
#include "bench/live/live_service.hpp"

namespace sagbench::live {

class HttpServer {
 public:
  /// Listens at once. A token is made where the address is not this computer's own. `option`: what
  /// messages call it. Throws bench::InputError where nobody can listen there.
  HttpServer(boost::asio::io_context& io, const std::string& option, const ListenAddress& address,
             LiveService& service);
  ~HttpServer();
  HttpServer(const HttpServer&) = delete;
  HttpServer& operator=(const HttpServer&) = delete;

  /// With the port that the system chose where it was to.
  const ListenAddress& address() const noexcept;
  /// Empty where none is needed.
  const std::string& token() const noexcept;
  /// From now on nobody is served; the service is not touched any more.
  void close();

  struct State;

 private:
  std::shared_ptr<State> state_;
};

}  // namespace sagbench::live
