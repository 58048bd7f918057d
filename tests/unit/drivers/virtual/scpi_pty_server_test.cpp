// Real time and a real pseudo-terminal.
#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

#include <array>

#include "catch.hpp"
#include "served_load.hpp"

namespace sagbench::drivers::virtual_bench::test {
namespace {

class PtyClient {
 public:
  explicit PtyClient(const std::string& path)
      : terminal_(open(path.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC)) {
    REQUIRE(terminal_ >= 0);
  }
  ~PtyClient() { close(terminal_); }
  PtyClient(const PtyClient&) = delete;
  PtyClient& operator=(const PtyClient&) = delete;

  std::string ask(const std::string& message) {
    const std::string line = message + "\n";
    REQUIRE(write(terminal_, line.data(), line.size()) == static_cast<ssize_t>(line.size()));
    std::string answer;
    while (answer.empty() || answer.back() != '\n') {
      pollfd waiting{terminal_, POLLIN, 0};
      REQUIRE(poll(&waiting, 1, 2000) == 1);
      std::array<char, 256> bytes{};
      const ssize_t count = read(terminal_, bytes.data(), bytes.size());
      REQUIRE(count > 0);
      answer.append(bytes.data(), static_cast<std::size_t>(count));
    }
    return answer;
  }

 private:
  int terminal_;
};

}  // namespace

TEST_CASE("a pseudo-terminal passes bytes as they are and survives its clients") {
  ServedLoad load(Line::pty);
  CHECK(load.address().rfind("/dev/pts/", 0) == 0);
  for (int i = 0; i < 3; ++i) {
    PtyClient client(load.address());
    CHECK(client.ask("*IDN?") == "SAGBENCH,VIRTUAL-LOAD,1,1\n");
  }
  PtyClient client(load.address());
  CHECK(client.ask("CURR 2;:INP ON;:INP?") == "1\n");
  CHECK(std::stod(client.ask("MEAS:CURR?")) == Approx(2.0).margin(0.04));
}

}  // namespace sagbench::drivers::virtual_bench::test
