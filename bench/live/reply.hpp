#pragma once
// An answer to a request.

#include <string>

namespace sagbench::live {

struct Reply {
  int status = 200;  // of HTTP
  std::string type = "application/json";
  std::string body;
  std::string etag;         // with its quotes; empty: what it holds may change, and is not kept
  std::string attached_as;  // name of the file for one who saves it; empty: it is shown
};

/// {"error": "..."}.
Reply refusal_reply(int status, const std::string& why);

}  // namespace sagbench::live
