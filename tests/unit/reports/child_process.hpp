#pragma once
// Children that die, or that may do less than their parent.

#include <sys/wait.h>
#include <unistd.h>

#include <stdexcept>
#include <string>

namespace sagbench::reports::testing {

/// Permissions mean nothing to root: becomes somebody else. For children only.
inline void drop_privileges() {
  constexpr uid_t kNobody = 65534;
  if (getuid() != 0) return;
  if (setgid(kNobody) != 0 || setuid(kNobody) != 0) throw std::runtime_error("setuid failed");
}

/// Runs `work` (returning a text) in a child process and returns the text: for what must not happen
/// to the test program itself, such as losing its privileges.
template <class Work>
std::string in_child(Work&& work) {
  int ends[2];
  if (pipe(ends) != 0) throw std::runtime_error("pipe failed");
  const pid_t child = fork();
  if (child < 0) throw std::runtime_error("fork failed");
  if (child == 0) {
    close(ends[0]);
    std::string text;
    try {
      text = work();
    } catch (const std::exception& error) {
      text = std::string("exception: ") + error.what();
    }
    const bool sent = write(ends[1], text.data(), text.size()) == static_cast<ssize_t>(text.size());
    _exit(sent ? 0 : 1);
  }
  close(ends[1]);
  std::string text;
  char buffer[4096];
  for (ssize_t size = 0; (size = read(ends[0], buffer, sizeof buffer)) > 0;) {
    text.append(buffer, static_cast<std::size_t>(size));
  }
  close(ends[0]);
  int status = 0;
  waitpid(child, &status, 0);
  if (!WIFEXITED(status)) text += " (child died)";
  return text;
}

}  // namespace sagbench::reports::testing
