#include "bench/live/asked.hpp"

#include "bench/live/request_target.hpp"
#include "catch.hpp"

using namespace sagbench::live;

namespace {

const std::string kRun = "20260620-080000-0a1f";
const std::string kOther = "20260621-080000-ffff";

std::variant<Asked, Refusal> ask(const std::string& target, const std::string& method = "GET",
                                 const std::string& body = "", bool upgrade = false) {
  Request request;
  request.method = method;
  request.target = target;
  request.body = body;
  request.upgrade = upgrade;
  return asked_by(request);
}

template <class What>
What asked(const std::string& target, bool upgrade = false) {
  const auto answer = ask(target, "GET", "", upgrade);
  REQUIRE(std::holds_alternative<Asked>(answer));
  REQUIRE(std::holds_alternative<What>(std::get<Asked>(answer)));
  return std::get<What>(std::get<Asked>(answer));
}

int refused(const std::string& target, const std::string& method = "GET",
            const std::string& body = "") {
  const auto answer = ask(target, method, body);
  const auto* refusal = std::get_if<Refusal>(&answer);
  if (refusal == nullptr) return 200;
  CHECK_FALSE(refusal->why.empty());
  return refusal->status;
}

}  // namespace

TEST_CASE("what is below /api is asked of the program, all else is a file of the page") {
  asked<AskedNow>("/api/now");
  asked<AskedRuns>("/api/runs");
  CHECK(asked<AskedPage>("/").path == "/");
  CHECK(asked<AskedPage>("/app.js").path == "/app.js");
  CHECK(asked<AskedPage>("/apifoo").path == "/apifoo");
  CHECK(asked<AskedPage>("/../../etc/passwd").path == "/../../etc/passwd");  // a name in a table
  CHECK(asked<AskedFigures>("/api/runs/" + kRun).run == kRun);
  CHECK(asked<AskedReport>("/api/runs/" + kRun + "/report.pdf").run == kRun);
  for (const char* nothing :
       {"/api", "/api/", "/api/nothing", "/api/runs/", "/api/runs/x", "/api/runs/..",
        "/api/runs/%2e%2e%2fx", "/api/now/", "/api/runs/20260620-080000-0A1F",
        "/api/runs/20260620-080000-0a1f/", "/api/runs/20260620-080000-0a1f/report.txt",
        "/api/runs/20260620-080000-0a1f/../x", "/api/runs/20260620-080000-0a1"}) {
    CAPTURE(nothing);
    CHECK(refused(nothing) == 404);
  }
}

TEST_CASE("a filter is taken word by word") {
  const auto runs = asked<AskedRuns>(
      "/api/runs?pack=field+day%20pack&chemistry=LFP&since=2026-01-01&until=2026-02-01&"
      "end=safety%20stop&limit=5&other=1");
  CHECK(runs.pack == "field day pack");
  CHECK(runs.chemistry == "LFP");
  CHECK(runs.since == "2026-01-01");
  CHECK(runs.until == "2026-02-01");
  CHECK(runs.end == "safety stop");
  CHECK(runs.limit == 5);
  for (const char* limit : {"0", "-1", "1001", "x", "", "1e2", "5 ", "99999999999999999999"})
    CHECK(refused(std::string("/api/runs?limit=") + limit) == 400);
}

TEST_CASE("a stretch of history") {
  const auto all = asked<AskedHistory>("/api/runs/" + kRun + "/history");
  CHECK(all.run == kRun);
  CHECK_FALSE(all.from_s);
  CHECK_FALSE(all.to_s);
  CHECK(all.columns == 1000);
  const auto part =
      asked<AskedHistory>("/api/runs/" + kRun + "/history?from=1.5&to=2e2&columns=10");
  CHECK(part.from_s == 1.5);
  CHECK(part.to_s == 200.0);
  CHECK(part.columns == 10);
  for (const char* query : {"from=-1", "from=nan", "to=inf", "to=1e10", "from=", "columns=0",
                            "columns=4001", "columns=1.5", "columns=-3", "from=1x"}) {
    CAPTURE(query);
    CHECK(refused("/api/runs/" + kRun + "/history?" + query) == 400);
  }
}

TEST_CASE("two to six runs are compared") {
  const auto two = asked<AskedComparison>("/api/compare?run=" + kRun + "&run=" + kOther);
  CHECK(two.runs == std::vector<std::string>{kRun, kOther});
  CHECK(refused("/api/compare") == 400);
  CHECK(refused("/api/compare?run=" + kRun) == 400);
  CHECK(refused("/api/compare?run=" + kRun + "&run=x") == 400);
  std::string seven = "/api/compare?";
  for (int i = 0; i < 7; ++i) seven += "run=" + kRun + "&";
  CHECK(refused(seven) == 400);
}

TEST_CASE("the WebSocket, from where one was") {
  CHECK_FALSE(asked<AskedLive>("/api/live", true).since_s);
  const auto live = asked<AskedLive>("/api/live?since=12.25&run=" + kRun, true);
  CHECK(live.since_s == 12.25);
  CHECK(live.run == kRun);
  CHECK(refused("/api/live") == 400);
  const auto wrong = ask("/api/live?since=x", "GET", "", true);
  CHECK(std::get<Refusal>(wrong).status == 400);
  CHECK(std::holds_alternative<Refusal>(ask("/api/live?run=x", "GET", "", true)));
}

TEST_CASE("a stop is asked for in one way") {
  const auto stop = ask("/api/stop", "POST", R"( {"stop" : true}
)");
  CHECK(std::holds_alternative<AskedStop>(std::get<Asked>(stop)));
  for (const char* body : {"", "{}", R"({"stop":false})", R"({"stop":1})", R"({"stop":true)",
                           R"({"stop":true,"stop":false})", "true", R"([{"stop":true}])"}) {
    CAPTURE(body);
    CHECK(refused("/api/stop", "POST", body) == 400);
  }
  CHECK(refused("/api/stop") == 405);
  CHECK(std::get<Refusal>(ask("/api/stop", "GET")).why == "POST is accepted");
  CHECK(std::get<Refusal>(ask("/api/runs", "POST")).why == "GET is accepted");
  for (const char* method : {"POST", "PUT", "DELETE", "OPTIONS", "", "get"})
    CHECK(refused("/api/now", method) == 405);
}

TEST_CASE("paths and queries are decoded once, and broken ones refused") {
  CHECK(parse_target("/a%20b?c=%26&d=1+2&e")->value("c") == "&");
  CHECK(parse_target("/a%20b")->path == "/a b");
  CHECK(parse_target("/a+b")->path == "/a+b");
  CHECK(parse_target("/?d=1+2")->value("d") == "1 2");
  CHECK(parse_target("/?e")->value("e") == "");
  CHECK(parse_target("/%2525")->path == "/%25");
  CHECK_FALSE(parse_target("/?a")->value("b"));
  for (const char* broken : {"", "a", "*", "http://127.0.0.1/", "/%", "/%4", "/%zz", "/%00",
                             "/a\nb", "/?a=%0a", "/?%7f=1"}) {
    CAPTURE(broken);
    CHECK_FALSE(parse_target(broken));
    CHECK(refused(broken) == 400);
  }
  CHECK_FALSE(parse_target("/" + std::string(3000, 'a')));
  std::string many = "/?";
  for (int i = 0; i < 21; ++i) many += "a=1&";
  CHECK_FALSE(parse_target(many));
}
