// Why a port cannot be had: held by another process, no permission, absent.

#include "drivers/port_access.hpp"

#include <fcntl.h>
#include <grp.h>
#include <sys/file.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <functional>

#include "catch.hpp"
#include "pseudo_terminal.hpp"
#include "real_time.hpp"
#include "result_printing.hpp"

namespace sagbench::drivers::test {
namespace {

/// Another process that does something, says that it has, and lives until the test is over.
class Process {
 public:
  explicit Process(const std::function<void()>& act) {
    std::array<int, 2> ready{};
    REQUIRE(::pipe(ready.data()) == 0);
    pid_ = ::fork();
    REQUIRE(pid_ >= 0);
    if (pid_ == 0) {
      act();
      if (::write(ready[1], "x", 1) == 1) ::pause();
      ::_exit(0);
    }
    char done = 0;
    REQUIRE(::read(ready[0], &done, 1) == 1);
    ::close(ready[0]);
    ::close(ready[1]);
  }
  ~Process() {
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
  }
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;
  std::string pid() const { return std::to_string(pid_); }

 private:
  pid_t pid_ = -1;
};

constexpr uid_t kNobody = 65534;

}  // namespace

TEST_CASE("a line that another process has locked is refused with its name and number") {
  RealTime time;
  const Terminal terminal;
  const Process holder([&] {
    ::prctl(PR_SET_NAME, "line-holder");  // else the emulator's, where this runs in one
    const int handle = ::open(terminal.path.c_str(), O_RDWR | O_NOCTTY);
    ::flock(handle, LOCK_EX);
  });
  const auto opened = time.open(*time.make(terminal.path));
  REQUIRE_FALSE(opened);
  CHECK(opened.error().kind == ErrorKind::disconnected);
  CHECK(opened.error().message ==
        terminal.path + ": in use by line-holder (pid " + holder.pid() + ")");
}

TEST_CASE("a device that nobody has open has no holder") {
  const Terminal terminal;
  CHECK(other_holder(terminal.path).empty());
  CHECK(other_holder("/dev/does-not-exist").empty());
  CHECK(in_use(terminal.path) == "in use already, by this program or one that does not show");
}

TEST_CASE("without permission the message names the group to join") {
  const Terminal terminal;
  struct stat file {};
  REQUIRE(::chmod(terminal.path.c_str(), 0660) == 0);
  REQUIRE(::stat(terminal.path.c_str(), &file) == 0);
  const struct group* const group = ::getgrgid(file.st_gid);
  REQUIRE(group != nullptr);
  const std::string name = group->gr_name;
  CHECK(why_not_opened(terminal.path, EACCES) == "no permission: join group " + name +
                                                     " (sudo usermod -aG " + name +
                                                     " $USER), then log in anew");
  REQUIRE(::chmod(terminal.path.c_str(), 0600) == 0);
  CHECK(why_not_opened(terminal.path, EACCES) ==
        "no permission: not even its group may use it (mode 0600)");
}

TEST_CASE("a user who may not open a port is told so") {
  if (::geteuid() != 0) return;  // only root can become another user
  RealTime time;
  const Terminal terminal;
  REQUIRE(::chmod(terminal.path.c_str(), 0600) == 0);
  const auto line = time.make(terminal.path);
  REQUIRE(::seteuid(kNobody) == 0);
  const auto opened = time.open(*line);
  REQUIRE(::seteuid(0) == 0);
  REQUIRE_FALSE(opened);
  CHECK(opened.error().message ==
        terminal.path + ": no permission: not even its group may use it (mode 0600)");
}

TEST_CASE("an absent port is named so, another fault in the system's words") {
  CHECK(why_not_opened("/dev/ttyUSB7", ENOENT) == "no such port");
  CHECK(why_not_opened("/dev/ttyUSB7", ENXIO) == "no such port");
  CHECK(why_not_opened("/dev/ttyUSB7", EMFILE) == "Too many open files");
}

}  // namespace sagbench::drivers::test
