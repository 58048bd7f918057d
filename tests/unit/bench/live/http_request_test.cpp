// What is told of bytes that are no request, and of which nothing is told.

#include "bench/live/http_request.hpp"

#include <boost/beast/http/error.hpp>

#include "catch.hpp"

using namespace sagbench::live;
namespace http = boost::beast::http;

TEST_CASE("bytes that are no request are answered by what is wrong with them") {
  const auto answer = [](http::error error) { return reply_to_bad_bytes(make_error_code(error)); };
  for (const auto error : {http::error::header_limit, http::error::body_limit}) {
    const auto reply = answer(error);
    REQUIRE(reply);
    CHECK(reply->status == 413);
    CHECK(reply->body.find("the request is too large") != std::string::npos);
  }
  const auto reply = answer(http::error::bad_method);
  REQUIRE(reply);
  CHECK(reply->status == 400);
  CHECK(reply->body.find("that is no request of HTTP") != std::string::npos);
}

TEST_CASE("a line that ended is not answered") {
  CHECK_FALSE(reply_to_bad_bytes(make_error_code(http::error::end_of_stream)));
  CHECK_FALSE(reply_to_bad_bytes(make_error_code(http::error::partial_message)));
  CHECK_FALSE(reply_to_bad_bytes(make_error_code(boost::system::errc::connection_reset)));
}
