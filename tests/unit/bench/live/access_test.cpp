#include "bench/live/access.hpp"

#include "catch.hpp"

using namespace sagbench::live;

namespace {

const std::string kToken = "abcdefghijklmnopqrstuvwxyz";
const AccessRules kRules{kToken, "Shack", 8073};

Request from(const char* peer) {
  Request request;
  request.method = "GET";
  request.target = "/api/now";
  request.host = "127.0.0.1:8073";
  request.peer = boost::asio::ip::make_address(peer);
  return request;
}

int by_host(const std::string& host, const AccessRules& rules = kRules) {
  Request request = from("127.0.0.1");
  request.host = host;
  const auto refusal = refused_by_origin(request, rules);
  return refusal ? refusal->status : 200;
}

int by_origin(const std::string& host, const std::string& origin) {
  Request request = from("127.0.0.1");
  request.host = host;
  request.origin = origin;
  const auto refusal = refused_by_origin(request, kRules);
  return refusal ? refusal->status : 200;
}

}  // namespace

TEST_CASE("a host must be an address or this computer, with the right port") {
  for (const char* host : {"127.0.0.1:8073", "192.168.1.7:8073", "[::1]:8073", "[fe80::1]:8073",
                           "localhost:8073", "LOCALHOST:8073", "shack:8073", "Shack.local:8073"}) {
    CAPTURE(host);
    CHECK(by_host(host) == 200);
  }
  for (const char* host : {"",
                           ":8073",
                           "127.0.0.1",
                           "127.0.0.1:80",
                           "127.0.0.1:80730",
                           "127.0.0.1:08073",
                           "example.org:8073",
                           "127.0.0.1.example.org:8073",
                           "localhost.example.org:8073",
                           "notlocalhost:8073",
                           "shack.example.org:8073",
                           "evil@127.0.0.1:8073",
                           "[::1:8073",
                           "::1:8073",
                           "127.0.0.1:8073:8073",
                           "[127.0.0.1]:8073",
                           "127.0.0.1 :8073",
                           "[::1]",
                           "256.1.1.1:8073",
                           "[]:8073",
                           "0x7f000001:8073"}) {
    CAPTURE(host);
    CHECK(by_host(host) == 403);
  }
}

TEST_CASE("a port that browsers leave out may be left out") {
  const AccessRules usual{"", "", 80};
  CHECK(by_host("127.0.0.1", usual) == 200);
  CHECK(by_host("[::1]", usual) == 200);
  CHECK(by_host("127.0.0.1:80", usual) == 200);
  CHECK(by_host("127.0.0.1:8080", usual) == 403);
  CHECK(by_host("", usual) == 403);
}

TEST_CASE("a computer without a name is not called by an empty one") {
  const AccessRules nameless{"", "", 8073};
  CHECK(by_host(".local:8073", nameless) == 403);
  CHECK(by_host(":8073", nameless) == 403);
}

TEST_CASE("an origin must be that of the page itself") {
  CHECK(by_origin("127.0.0.1:8073", "http://127.0.0.1:8073") == 200);
  CHECK(by_origin("Localhost:8073", "http://localhost:8073") == 200);
  for (const char* origin :
       {"", "null", "https://127.0.0.1:8073", "http://127.0.0.1", "http://127.0.0.1:8074",
        "http://localhost:8073", "http://example.org", "http://127.0.0.1:8073/",
        "http://127.0.0.1:8073.example.org", "http://example.org?http://127.0.0.1:8073"}) {
    CAPTURE(origin);
    CHECK(by_origin("127.0.0.1:8073", origin) == 403);
  }
}

TEST_CASE("from elsewhere only with the token") {
  Request request = from("192.168.1.7");
  CHECK(refused_by_token(request, kRules)->status == 401);
  request.authorization = "Bearer " + kToken;
  CHECK_FALSE(refused_by_token(request, kRules));
  for (const std::string& wrong :
       {std::string("Bearer "), "Bearer " + kToken + "a", "bearer " + kToken, "Basic " + kToken,
        kToken, "Bearer  " + kToken, "Bearer " + kToken.substr(1)}) {
    CAPTURE(wrong);
    request.authorization = wrong;
    CHECK(refused_by_token(request, kRules)->status == 401);
  }
}

TEST_CASE("at this computer no token is needed, and where there is none, nobody else is served") {
  CHECK_FALSE(refused_by_token(from("127.0.0.1"), kRules));
  CHECK_FALSE(refused_by_token(from("::1"), kRules));
  const AccessRules tokenless{"", "", 8073};
  Request request = from("192.168.1.7");
  CHECK(refused_by_token(request, tokenless));
  request.authorization = "Bearer ";
  CHECK(refused_by_token(request, tokenless));
}

TEST_CASE("a WebSocket names its token among its protocols") {
  Request request = from("192.168.1.7");
  request.upgrade = true;
  for (const std::string& right :
       {"sagbench.1, token." + kToken, "token." + kToken, "sagbench.1,token." + kToken + ",more"}) {
    CAPTURE(right);
    request.protocols = right;
    CHECK(has_token(request, kRules));
  }
  for (const std::string& wrong :
       {std::string(), "sagbench.1, " + kToken, "sagbench.1, token." + kToken + "a",
        "sagbench.1 token." + kToken, std::string(",,,"), "xtoken." + kToken}) {
    CAPTURE(wrong);
    request.protocols = wrong;
    CHECK_FALSE(has_token(request, kRules));
  }
  request.protocols = "token." + kToken;
  request.upgrade = false;
  CHECK_FALSE(has_token(request, kRules));
}

TEST_CASE("what changes something comes from the page, or from no page at all") {
  Request request = from("127.0.0.1");
  request.method = "POST";
  request.content_type = "application/json";
  CHECK_FALSE(refused_to_change(request));
  request.content_type = "Application/JSON; charset=utf-8";
  CHECK_FALSE(refused_to_change(request));
  request.fetch_site = "cross-site";
  CHECK(refused_to_change(request)->status == 403);
  request.origin = "http://127.0.0.1:8073";
  CHECK_FALSE(refused_to_change(request));
  for (const char* type :
       {"", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data",
        "application/jsonp", "text/plain;application/json"}) {
    CAPTURE(type);
    request.content_type = type;
    CHECK(refused_to_change(request)->status == 415);
  }
}
