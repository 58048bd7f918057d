#pragma once
// Program headers: which pattern one matches, and what a relative one means inside a compound
// message.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sagbench::drivers::virtual_bench {

/// A header as manuals print it: "MEASure[:SCALar]:CURRent[:DC]?", "*IDN?", "INPut#[:STATe]".
/// Capitals are the short form; brackets enclose a node that may be left out; '#' allows a numeric
/// suffix. Only the exact short or the exact long form matches, in any case (SCPI-1999 Vol
/// 1, 6.2.1).
class HeaderPattern {
 public:
  explicit HeaderPattern(std::string_view pattern);

  /// The numeric suffixes, one a '#' in the pattern, 1 where absent; nothing when the header does
  /// not match. A leading ':' is allowed.
  std::optional<std::vector<int>> match(std::string_view header) const;

 private:
  struct Node {
    std::string long_form;
    std::size_t short_length;
    bool optional;
    bool numbered;
  };
  using Words = std::vector<std::string_view>;

  static bool match_node(const Node& node, std::string_view word, std::vector<int>& suffixes);
  bool match_from(std::size_t node, const Words& words, std::size_t word,
                  std::vector<int>& suffixes) const;

  std::vector<Node> nodes_;
  bool query_;
};

/// The path of a compound message: "A:B;C" means A:B then A:C; a leading ':' returns to the root;
/// common commands ('*') leave the path alone (SCPI-1999 Vol 1, 6.2.4; IEEE 488.2 A.1.1).
class HeaderPath {
 public:
  /// The header in full, without a leading ':'.
  std::string_view resolve(std::string_view header);
  void reset() { length_ = 0; }

 private:
  std::string full_;
  std::size_t length_ = 0;  // of full_: the path with its last ':'
};

}  // namespace sagbench::drivers::virtual_bench
