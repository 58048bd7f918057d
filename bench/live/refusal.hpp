#pragma once
// Why a request is not served.

#include <string>

namespace sagbench::live {

struct Refusal {
  int status = 400;  // of HTTP
  std::string why;   // one line
};

}  // namespace sagbench::live
