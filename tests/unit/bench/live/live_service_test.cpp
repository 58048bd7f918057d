// What stands behind the live page, where the thread beside the loop has too much to do.

#include "bench/live/live_service.hpp"

#include <boost/asio/co_spawn.hpp>
#include <functional>
#include <future>
#include <nlohmann/json.hpp>
#include <optional>

#include "catch.hpp"

using namespace sagbench::live;

TEST_CASE("more questions of the archive than can wait are refused for now") {
  boost::asio::io_context io;
  LiveService service(io, "no-archive.db", nullptr);
  std::promise<int> held_up;  // goes before the service, whose thread waits for it
  const std::function<int()> waits = [end = held_up.get_future().share()] { return end.get(); };
  for (int i = 0; i < Background::kMost; ++i)
    REQUIRE(service.background().run<int>(waits, [](int) {}));
  std::optional<Reply> reply;
  boost::asio::co_spawn(io, service.answer(AskedRuns{}),
                        [&](const std::exception_ptr& thrown, Reply answer) {
                          REQUIRE_FALSE(thrown);
                          reply = std::move(answer);
                        });
  while (!reply) io.run_one();
  CHECK(reply->status == 503);
  CHECK(nlohmann::json::parse(reply->body)["error"] ==
        "too much is asked for at once; try again later");
  held_up.set_value(0);
  service.close();
}
