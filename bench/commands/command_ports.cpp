// `sagbench ports`: the serial ports and USB test-and-measurement nodes of this computer, and who
// answers on each.

#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <memory>
#include <nlohmann/json.hpp>
#include <utility>

#include "bench/commands/commands.hpp"
#include "bench/files/input_error.hpp"
#include "bench/safety/stop.hpp"
#include "bench/system/event_loop.hpp"
#include "drivers/device_transport.hpp"
#include "drivers/port_inquiry.hpp"
#include "drivers/port_list.hpp"
#include "drivers/transport.hpp"

namespace sagbench::bench {
namespace {

using drivers::PortAnswer;
using drivers::PortInfo;
using drivers::Transport;

/// Under the three seconds that a look at the ports may take.
constexpr auto kAskFor = std::chrono::milliseconds(2600);

struct AskedPort {
  PortInfo port;
  std::unique_ptr<Transport> line;
  PortAnswer answer;
};

std::vector<PortInfo> listed_and(const std::vector<std::string>& more) {
  auto listed = drivers::list_devices();
  if (!listed) throw Stop(reports::RunEnd::instrument, listed.error().message);
  for (const std::string& name : more) {
    const auto same = [&](const PortInfo& port) { return port.name == name; };
    if (std::any_of(listed->begin(), listed->end(), same)) continue;
    PortInfo port = drivers::port_at(name).value_or(PortInfo{});
    port.name = name;
    listed->push_back(std::move(port));
  }
  return std::move(*listed);
}

boost::asio::awaitable<int> ask_all(EventLoop& loop, std::vector<AskedPort>& ports) {
  const drivers::Time deadline = loop.clock().now() + kAskFor;
  const auto all_answered = loop.clock().make_alarm();
  std::size_t under_way = ports.size();
  std::exception_ptr failure;
  for (AskedPort& asked : ports) {
    boost::asio::co_spawn(loop.io(), drivers::ask_identity(*asked.line, loop.clock(), deadline),
                          [&](const std::exception_ptr& thrown, PortAnswer answer) {
                            if (thrown) failure = thrown;
                            asked.answer = std::move(answer);
                            if (--under_way == 0) all_answered->ring();
                          });
  }
  while (under_way > 0) co_await all_answered->until(drivers::Time::max());
  if (failure) std::rethrow_exception(failure);
  co_return 0;
}

std::string one_line(std::string text) {
  constexpr std::size_t kColumns = 80;
  if (text.size() <= kColumns) return text;
  return text.substr(0, kColumns - 3) + "...";
}

std::string heading(const PortInfo& port) {
  std::string text = port.name;
  if (port.usb) {
    text += "  USB " + vendor_and_product(*port.usb);
    if (!port.usb->serial.empty()) text += ", serial " + port.usb->serial;
  }
  if (!port.description.empty()) text += "  " + port.description;
  return text;
}

void print_text(const std::vector<AskedPort>& ports) {
  if (ports.empty()) fmt::print("No serial ports here. Is the adapter plugged in?\n");
  for (const auto& [port, line, answer] : ports) {
    fmt::print("{}\n", one_line(heading(port)));
    const std::string at = answer.baud ? fmt::format("{} baud: ", *answer.baud) : "";
    fmt::print("{}\n",
               one_line("    " + (answer.identity.empty() ? answer.why : at + answer.identity)));
  }
}

nlohmann::ordered_json to_json(const AskedPort& asked) {
  const auto& [port, line, answer] = asked;
  nlohmann::ordered_json json{{"port", port.name},   {"description", nullptr}, {"usb", nullptr},
                              {"identity", nullptr}, {"baud", nullptr},        {"why", nullptr}};
  if (!port.description.empty()) json["description"] = port.description;
  if (port.usb) {
    json["usb"] = {{"id", vendor_and_product(*port.usb)},
                   {"serial", port.usb->serial},
                   {"product", port.usb->product}};
  }
  if (answer.baud) json["baud"] = *answer.baud;
  if (answer.identity.empty())
    json["why"] = answer.why;
  else
    json["identity"] = answer.identity;
  return json;
}

void print_json(const std::vector<AskedPort>& ports) {
  nlohmann::ordered_json document{{"ports", nlohmann::ordered_json::array()}};
  for (const AskedPort& asked : ports) document["ports"].push_back(to_json(asked));
  // Descriptions come from adapters: not always UTF-8.
  fmt::print("{}\n",
             document.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
}

}  // namespace

int command_ports(const std::vector<std::string>& more, bool json) {
  EventLoop loop(false);
  std::vector<AskedPort> ports;
  for (PortInfo& port : listed_and(more)) {
    auto line = drivers::make_transport(loop.io().get_executor(), loop.clock(), port.name,
                                        drivers::kCommonBauds.front());
    if (!line) throw InputError(line.error().message);
    ports.push_back({std::move(port), std::move(*line), {}});
  }
  if (!ports.empty()) loop.run(ask_all(loop, ports));
  json ? print_json(ports) : print_text(ports);
  return 0;
}

}  // namespace sagbench::bench
