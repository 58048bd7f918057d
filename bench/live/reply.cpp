#include "bench/live/reply.hpp"

#include <nlohmann/json.hpp>

namespace sagbench::live {

Reply refusal_reply(int status, const std::string& why) {
  const nlohmann::json json = {{"error", why}};
  Reply reply;
  reply.status = status;
  reply.body = json.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
  return reply;
}

}  // namespace sagbench::live
