#include "bench/live/token.hpp"

#include <set>

#include "catch.hpp"

using namespace sagbench::live;

TEST_CASE("base32 by the examples of RFC 4648, in lower case and without padding") {
  CHECK(base32("").empty());
  CHECK(base32("f") == "my");
  CHECK(base32("fo") == "mzxq");
  CHECK(base32("foo") == "mzxw6");
  CHECK(base32("foob") == "mzxw6yq");
  CHECK(base32("fooba") == "mzxw6ytb");
  CHECK(base32("foobar") == "mzxw6ytboi");
  CHECK(base32(std::string(2, '\xff')) == "777q");
}

TEST_CASE("tokens have 128 bits, and no two are alike") {
  std::set<std::string> tokens;
  for (int i = 0; i < 1000; ++i) tokens.insert(make_token());
  CHECK(tokens.size() == 1000);
  for (const std::string& token : tokens) {
    REQUIRE(token.size() == 26);
    REQUIRE(token.find_first_not_of("abcdefghijklmnopqrstuvwxyz234567") == std::string::npos);
  }
}

TEST_CASE("only the whole token is the token") {
  const std::string token = make_token();
  CHECK(same_token(token, token));
  CHECK_FALSE(same_token("", token));
  CHECK_FALSE(same_token(token + "a", token));
  CHECK_FALSE(same_token(token.substr(1), token));
  CHECK_FALSE(same_token("", ""));
  for (std::size_t i = 0; i < token.size(); ++i) {
    std::string other = token;
    other[i] = other[i] == 'a' ? 'b' : 'a';
    CHECK_FALSE(same_token(other, token));
  }
}
