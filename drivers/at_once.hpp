#pragma once
// What a line does without waiting and without a turn of the event loop.

#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/serial_port.hpp>
#include <cstddef>
#include <span>
#include <string_view>

namespace sagbench::drivers {

/// Sends what the line takes without waiting, most often all of it, and returns how much that was:
/// no timer and no turn of the event loop for a message of few bytes. 0 for any trouble, which the
/// asynchronous way meets again and reports; 0 too for a line that has no such way.
std::size_t send_at_once(boost::asio::ip::tcp::socket& socket, std::string_view bytes);
std::size_t send_at_once(boost::asio::serial_port& port, std::string_view bytes);
template <class Stream>
std::size_t send_at_once(Stream&, std::string_view) {
  return 0;
}

/// Takes what has arrived already, as far as there is room; 0 when nothing has, or for any trouble,
/// which the next read or write will tell of.
std::size_t take_at_once(boost::asio::ip::tcp::socket& socket, std::span<char> room);
std::size_t take_at_once(boost::asio::serial_port& port, std::span<char> room);
/// Of a line that has a way of its own.
template <class Stream>
std::size_t take_at_once(Stream& stream, std::span<char> room) {
  return stream.take_at_once(room);
}

}  // namespace sagbench::drivers
