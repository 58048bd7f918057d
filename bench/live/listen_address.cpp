#include "bench/live/listen_address.hpp"

#include <fmt/format.h>

#include <charconv>

#include "bench/files/input_error.hpp"

namespace sagbench::live {
namespace {

namespace ip = boost::asio::ip;

std::optional<std::uint16_t> port_from(std::string_view text) {
  std::uint16_t port = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), port);
  if (text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return port;
}

std::optional<ip::address> v6_from(const std::string& text) {
  boost::system::error_code error;
  const auto v6 = ip::make_address_v6(text, error);
  if (error || text.find_first_of("[]") != std::string::npos) return std::nullopt;
  return v6;
}

std::optional<ip::address> v4_from(const std::string& text) {
  boost::system::error_code error;
  const auto v4 = ip::make_address_v4(text, error);
  if (error || v4.to_string() != text) return std::nullopt;
  return v4;
}

}  // namespace

// Windows takes more for an address: one with a port behind it, brackets in brackets, numbers in
// hexadecimal.
std::optional<ip::address> address_from(std::string_view text) {
  if (text.size() > 2 && text.front() == '[' && text.back() == ']')
    return v6_from(std::string(text.substr(1, text.size() - 2)));
  return v4_from(std::string(text));
}

ListenAddress parse_listen_address(const std::string& option, const std::string& text) {
  const auto colon = text.rfind(':');
  if (colon != std::string::npos) {
    const std::string_view host = std::string_view(text).substr(0, colon);
    const auto address = host == "localhost"
                             ? std::optional<ip::address>(ip::address_v4::loopback())
                             : address_from(host);
    const auto port = port_from(std::string_view(text).substr(colon + 1));
    if (address && port) return {*address, *port};
  }
  throw bench::InputError(
      fmt::format("{}: \"{}\" is no address with a port; accepted are 127.0.0.1:8073, [::1]:8073, "
                  "localhost:8073, an address of this computer, or 0.0.0.0:8073 for all of them",
                  option, text));
}

bool is_loopback(const ip::address& address) {
  return plain_address(address).is_loopback();
}

ip::address plain_address(const ip::address& address) {
  if (address.is_v6() && address.to_v6().is_v4_mapped())
    return ip::make_address_v4(ip::v4_mapped, address.to_v6());
  return address;
}

std::string host_text(const ip::address& address, std::uint16_t port) {
  const std::string text = address.to_string();
  return address.is_v6() ? fmt::format("[{}]:{}", text, port) : fmt::format("{}:{}", text, port);
}

}  // namespace sagbench::live
