#pragma once
// Who may see a run, and who may stop it. Pure.

#include <cstdint>
#include <optional>
#include <string>

#include "bench/live/refusal.hpp"
#include "bench/live/request.hpp"

namespace sagbench::live {

struct AccessRules {
  std::string token;       // empty: only peers on this computer are served
  std::string own_name;    // of this computer; empty: not known
  std::uint16_t port = 0;  // where it is served
};

/// Holds of every request: one Host header that is an address, localhost, or this computer's own
/// name, with the right port, so that no page of another name can be made to lead here (DNS
/// rebinding); and an Origin, where there is one, of that very host.
std::optional<Refusal> refused_by_origin(const Request& request, const AccessRules& rules);

/// Whether the peer sits at this computer.
bool is_local(const Request& request);
/// A bearer token, or for a WebSocket the subprotocol "token.TOKEN".
bool has_token(const Request& request, const AccessRules& rules);

/// For all that holds data.
std::optional<Refusal> refused_by_token(const Request& request, const AccessRules& rules);

/// For what changes something: not from a page of another origin, and in a form that no plain
/// HTML form can send.
std::optional<Refusal> refused_to_change(const Request& request);

}  // namespace sagbench::live
