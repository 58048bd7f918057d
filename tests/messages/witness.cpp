// Loaded before a test's program (LD_PRELOAD) by `record`: writes down what is said, and from which
// literals it was put together, to $SAGBENCH_MESSAGE_LOG. The program itself knows nothing of it.

#include <dlfcn.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <link.h>
#include <malloc.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <atomic>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

namespace {

constexpr std::size_t kShortestPiece = 8;
constexpr std::size_t kLongestText = 20000;
constexpr std::size_t kPlaces = 1 << 16;  // of a table of literals that were seen

int log_fd = -1;
std::uintptr_t first_literal = UINTPTR_MAX, behind_literals = 0;
std::atomic<std::uintptr_t> seen[kPlaces];

/// Whether it was not there before. Full, the table takes all for new.
bool is_new(std::uintptr_t key) {
  std::size_t at = (key * 0x9E3779B97F4A7C15ULL) >> 48U;
  for (std::size_t tries = 0; tries < 64; ++tries, at = (at + 1) % kPlaces) {
    std::uintptr_t there = seen[at].load(std::memory_order_relaxed);
    if (there == key) return false;
    if (there == 0 && seen[at].compare_exchange_strong(there, key)) return true;
    if (there == key) return false;
  }
  return true;
}

/// kind: E an exception's, F formatted, W written, L a literal that was copied,
/// D a string that was let go, K held to be alike.
void note(char kind, std::string_view text) {
  if (log_fd < 0 || text.size() < kShortestPiece) return;
  text = text.substr(0, kLongestText);
  // Not by a string: letting that go would be noted as well, and so on.
  auto* line = static_cast<char*>(std::malloc(text.size() + 2));
  if (line == nullptr) return;
  line[0] = kind;
  for (std::size_t i = 0; i < text.size(); ++i) line[i + 1] = text[i] == '\0' ? ' ' : text[i];
  line[text.size() + 1] = '\0';
  syscall(SYS_write, log_fd, line, text.size() + 2);
  std::free(line);
}

void note_once(char kind, std::string_view text) {
  std::uintptr_t hash = static_cast<unsigned char>(kind) + 1469598103934665603ULL;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
  if (log_fd >= 0 && is_new(hash | 1U)) note(kind, text);
}

int find_literals(dl_phdr_info* info, std::size_t, void*) {
  for (int i = 0; i < info->dlpi_phnum; ++i) {
    const auto& part = info->dlpi_phdr[i];
    if (part.p_type != PT_LOAD || (part.p_flags & (PF_W | PF_X)) != 0) continue;
    first_literal = std::min<std::uintptr_t>(first_literal, info->dlpi_addr + part.p_vaddr);
    behind_literals =
        std::max<std::uintptr_t>(behind_literals, info->dlpi_addr + part.p_vaddr + part.p_memsz);
  }
  return 1;  // the program itself comes first; its libraries' words are not ours
}

[[gnu::constructor]] void begin() {
  const char* path = std::getenv("SAGBENCH_MESSAGE_LOG");
  const char* folder = std::getenv("SAGBENCH_MESSAGE_BUILD");  // of other programs nothing is noted
  char program[4096] = "";
  if (path == nullptr || folder == nullptr ||
      readlink("/proc/self/exe", program, sizeof program - 1) < 0)
    return;
  if (std::string_view(program).rfind(folder, 0) != 0) return;
  dl_iterate_phdr(find_literals, nullptr);
  const int fd = open(path, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0644);
  log_fd = fcntl(fd, F_DUPFD_CLOEXEC, 900);  // out of the way of tests that count descriptors
  close(fd);
}

void* copy(void* to, const void* from, std::size_t size) {
  void* result = to;
  asm volatile("rep movsb" : "+D"(to), "+S"(from), "+c"(size) : : "memory");
  return result;
}

void look_at(const void* from, std::size_t size) {
  const auto at = reinterpret_cast<std::uintptr_t>(from);
  if (log_fd < 0 || size < kShortestPiece || size > 2000 || at < first_literal ||
      at + size > behind_literals)
    return;
  if (is_new((at << 12U) | size | 1U)) note('L', {static_cast<const char*>(from), size});
}

template <class F>
F real(const char* name) {
  return reinterpret_cast<F>(dlsym(RTLD_NEXT, name));
}

}  // namespace

extern "C" {

void* memcpy(void* to, const void* from, std::size_t size) {
  look_at(from, size);
  return copy(to, from, size);
}

int memcmp(const void* left, const void* right, std::size_t size) {
  const auto* a = static_cast<const unsigned char*>(left);
  const auto* b = static_cast<const unsigned char*>(right);
  for (std::size_t i = 0; i < size; ++i)
    if (a[i] != b[i]) return a[i] < b[i] ? -1 : 1;
  if (log_fd >= 0 && size >= kShortestPiece) note_once('K', {static_cast<const char*>(left), size});
  return 0;
}

#define SAGBENCH_EXCEPTION_OF(name, argument, text)                  \
  void name(void* self, argument message) {                          \
    note_once('E', text);                                            \
    static const auto next = real<void (*)(void*, argument)>(#name); \
    next(self, message);                                             \
  }
SAGBENCH_EXCEPTION_OF(_ZNSt13runtime_errorC1ERKNSt7__cxx1112basic_stringIcSt11char_traitsIcESaIcEEE,
                      const std::string&, message)
SAGBENCH_EXCEPTION_OF(_ZNSt13runtime_errorC2ERKNSt7__cxx1112basic_stringIcSt11char_traitsIcESaIcEEE,
                      const std::string&, message)
SAGBENCH_EXCEPTION_OF(_ZNSt11logic_errorC1ERKNSt7__cxx1112basic_stringIcSt11char_traitsIcESaIcEEE,
                      const std::string&, message)
SAGBENCH_EXCEPTION_OF(_ZNSt11logic_errorC2ERKNSt7__cxx1112basic_stringIcSt11char_traitsIcESaIcEEE,
                      const std::string&, message)
SAGBENCH_EXCEPTION_OF(_ZNSt13runtime_errorC1EPKc, const char*, message)
SAGBENCH_EXCEPTION_OF(_ZNSt13runtime_errorC2EPKc, const char*, message)

ssize_t write(int fd, const void* bytes, std::size_t size) {
  if (fd != log_fd) note_once('W', {static_cast<const char*>(bytes), size});
  static const auto next = real<ssize_t (*)(int, const void*, std::size_t)>("write");
  return next(fd, bytes, size);
}

int fputs(const char* text, FILE* file) {
  note_once('W', text);
  static const auto next = real<int (*)(const char*, FILE*)>("fputs");
  return next(text, file);
}

// What the compiler makes of fputs() of a literal.
std::size_t fwrite(const void* bytes, std::size_t size, std::size_t count, FILE* file) {
  if (file == stdout || file == stderr)
    note_once('W', {static_cast<const char*>(bytes), size * count});
  static const auto next =
      real<std::size_t (*)(const void*, std::size_t, std::size_t, FILE*)>("fwrite");
  return next(bytes, size, count, file);
}

}  // extern "C"

namespace {

/// A string gives its text back to the heap: what it held, if it was words.
void let_go(void* memory) {
  if (memory == nullptr) return;
  if (log_fd >= 0) {
    const auto* text = static_cast<const char*>(memory);
    const std::size_t room = malloc_usable_size(memory);
    std::size_t size = 0;
    bool spaced = false;
    while (size < room && (static_cast<unsigned char>(text[size]) >= 0x20 || text[size] == '\n'))
      spaced |= text[size++] == ' ';
    if (size >= 16 && size < room && text[size] == '\0' && spaced) note_once('D', {text, size});
  }
  std::free(memory);
}

}  // namespace

void operator delete(void* memory) noexcept {
  let_go(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  let_go(memory);
}

FMT_BEGIN_NAMESPACE

std::string vformat(string_view format, format_args args) {
  using Formats = std::string (*)(string_view, format_args);
  static const auto next = [] {
    Dl_info own{};  // the library's name has its version in it, and so has ours
    dladdr(reinterpret_cast<void*>(static_cast<Formats>(&fmt::vformat)), &own);
    return real<Formats>(own.dli_sname);
  }();
  std::string text = next(format, args);
  look_at(format.data(), format.size());
  note_once('F', text);
  return text;
}

void vprint(FILE* file, string_view format, format_args args) {
  const std::string text = vformat(format, args);
  note_once('W', text);
  std::fwrite(text.data(), 1, text.size(), file);
}

void vprint(string_view format, format_args args) {
  vprint(stdout, format, args);
}

FMT_END_NAMESPACE
