#include "bench/live/access.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <string_view>

#include "bench/live/listen_address.hpp"
#include "bench/live/token.hpp"
#include "bench/text/lower_case.hpp"

namespace sagbench::live {
namespace {

using bench::lower;

constexpr int kUnauthorized = 401, kForbidden = 403, kUnsupported = 415;
constexpr std::uint16_t kUsualPort = 80;  // a browser leaves it out

bool takes_prefix(std::string_view& text, std::string_view prefix) {
  if (!text.starts_with(prefix)) return false;
  text.remove_prefix(prefix.size());
  return true;
}

/// The name in "name:port", without its port; empty where that is another one.
std::string_view without_port(std::string_view host, std::uint16_t port) {
  const std::string end = fmt::format(":{}", port);
  if (host.ends_with(end)) return host.substr(0, host.size() - end.size());
  const bool bare = host.find(':') == std::string_view::npos || host.ends_with(']');
  return bare && port == kUsualPort ? host : std::string_view();
}

bool names_this_computer(std::string_view host, const AccessRules& rules) {
  const std::string name = lower(without_port(host, rules.port));
  if (name.empty()) return false;
  if (name == "localhost" || address_from(name)) return true;
  const std::string own = lower(rules.own_name);
  return !own.empty() && (name == own || name == own + ".local");
}

/// One of the words of a list with commas.
bool lists_token(std::string_view list, std::string_view token) {
  while (!list.empty()) {
    const auto comma = std::min(list.find(','), list.size());
    std::string_view word = list.substr(0, comma);
    list.remove_prefix(std::min(comma + 1, list.size()));
    while (!word.empty() && word.front() == ' ') word.remove_prefix(1);
    while (!word.empty() && word.back() == ' ') word.remove_suffix(1);
    if (takes_prefix(word, "token.") && same_token(word, token)) return true;
  }
  return false;
}

}  // namespace

std::optional<Refusal> refused_by_origin(const Request& request, const AccessRules& rules) {
  if (!names_this_computer(request.host, rules))
    return Refusal{kForbidden, "this computer is not served under that name"};
  if (request.origin && lower(*request.origin) != "http://" + lower(request.host))
    return Refusal{kForbidden, "not for pages from elsewhere"};
  return std::nullopt;
}

bool is_local(const Request& request) {
  return is_loopback(request.peer);
}

bool has_token(const Request& request, const AccessRules& rules) {
  std::string_view given = request.authorization;
  if (takes_prefix(given, "Bearer ") && same_token(given, rules.token)) return true;
  return request.upgrade && lists_token(request.protocols, rules.token);
}

std::optional<Refusal> refused_by_token(const Request& request, const AccessRules& rules) {
  if (is_local(request) || has_token(request, rules)) return std::nullopt;
  return Refusal{kUnauthorized, "the token of this run is needed, as the terminal shows it"};
}

std::optional<Refusal> refused_to_change(const Request& request) {
  if (!request.origin && request.fetch_site)
    return Refusal{kForbidden, "not for pages from elsewhere"};
  const std::string_view type = request.content_type;
  if (lower(type.substr(0, type.find(';'))) != "application/json")
    return Refusal{kUnsupported, "the content type must be application/json"};
  return std::nullopt;
}

}  // namespace sagbench::live
