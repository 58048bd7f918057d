#include "drivers/virtual/scpi_header.hpp"

#include <algorithm>
#include <charconv>

namespace sagbench::drivers::virtual_bench {
namespace {

char upper(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}
bool is_lower(char c) {
  return c >= 'a' && c <= 'z';
}
bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool same_word(std::string_view word, std::string_view form) {
  return std::equal(word.begin(), word.end(), form.begin(), form.end(),
                    [](char a, char b) { return upper(a) == b; });
}

std::vector<std::string_view> split_at_colons(std::string_view header) {
  std::vector<std::string_view> words;
  std::size_t begin = 0;
  for (std::size_t end = header.find(':'); end != std::string_view::npos;
       end = header.find(':', begin)) {
    words.push_back(header.substr(begin, end - begin));
    begin = end + 1;
  }
  words.push_back(header.substr(begin));
  return words;
}

}  // namespace

HeaderPattern::HeaderPattern(std::string_view pattern) : query_(pattern.ends_with('?')) {
  if (query_) pattern.remove_suffix(1);
  bool optional = false;
  std::string word;
  const auto finish_node = [&] {
    if (word.empty()) return;
    const bool numbered = word.back() == '#';
    if (numbered) word.pop_back();
    const auto short_end = std::find_if(word.begin(), word.end(), is_lower);
    const auto short_length = static_cast<std::size_t>(short_end - word.begin());
    std::transform(word.begin(), word.end(), word.begin(), upper);
    nodes_.push_back({word, short_length, optional, numbered});
    word.clear();
  };
  for (const char c : pattern) {
    if (c != '[' && c != ']' && c != ':') {
      word.push_back(c);
      continue;
    }
    finish_node();
    if (c != ':') optional = c == '[';
  }
  finish_node();
}

std::optional<std::vector<int>> HeaderPattern::match(std::string_view header) const {
  if (header.ends_with('?') != query_) return std::nullopt;
  if (query_) header.remove_suffix(1);
  if (header.starts_with(':')) header.remove_prefix(1);
  std::vector<int> suffixes;
  if (!match_from(0, split_at_colons(header), 0, suffixes)) return std::nullopt;
  return suffixes;
}

bool HeaderPattern::match_from(std::size_t node, const Words& words, std::size_t word,
                               std::vector<int>& suffixes) const {
  if (node == nodes_.size()) return word == words.size();
  const std::size_t before = suffixes.size();
  if (word < words.size() && match_node(nodes_[node], words[word], suffixes)) {
    if (match_from(node + 1, words, word + 1, suffixes)) return true;
  }
  suffixes.resize(before);
  if (!nodes_[node].optional) return false;
  if (nodes_[node].numbered) suffixes.push_back(1);
  return match_from(node + 1, words, word, suffixes);
}

bool HeaderPattern::match_node(const Node& node, std::string_view word,
                               std::vector<int>& suffixes) {
  int suffix = 1;
  if (node.numbered) {
    std::size_t name_length = word.size();
    while (name_length > 0 && is_digit(word[name_length - 1])) --name_length;
    const char* const end = word.data() + word.size();
    if (name_length < word.size() &&
        std::from_chars(word.data() + name_length, end, suffix).ec != std::errc{})
      return false;
    word = word.substr(0, name_length);
  }
  const std::string_view long_form = node.long_form;
  if (!same_word(word, long_form) && !same_word(word, long_form.substr(0, node.short_length)))
    return false;
  if (node.numbered) suffixes.push_back(suffix);
  return true;
}

std::string_view HeaderPath::resolve(std::string_view header) {
  if (header.starts_with('*')) return header;
  if (header.starts_with(':')) {
    header.remove_prefix(1);
    length_ = 0;
  }
  full_.resize(length_);
  full_.append(header);
  const std::size_t colon = full_.rfind(':');
  length_ = colon == std::string::npos ? 0 : colon + 1;
  return full_;
}

}  // namespace sagbench::drivers::virtual_bench
