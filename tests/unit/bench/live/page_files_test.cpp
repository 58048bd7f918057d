#include "bench/live/page_files.hpp"

#include <regex>
#include <set>
#include <string>
#include <vector>

#include "catch.hpp"

namespace {

using sagbench::live::page_file;
using sagbench::live::page_files;
using sagbench::live::PageFile;

bool ends_with(std::string_view text, std::string_view end) {
  return text.size() >= end.size() && text.substr(text.size() - end.size()) == end;
}

/// First groups of all matches.
std::vector<std::string> found(std::string_view text, const std::string& pattern) {
  const std::string copy(text);
  const std::regex expression(pattern);
  std::vector<std::string> groups;
  for (std::sregex_iterator i(copy.begin(), copy.end(), expression), end; i != end; ++i)
    groups.push_back((*i)[1]);
  return groups;
}

/// "/views/now.js" and "../parts/dom.js" as "/parts/dom.js".
std::string resolved(std::string_view from, std::string_view relative) {
  std::string folder(from.substr(0, from.rfind('/')));
  while (relative.substr(0, 3) == "../") {
    relative.remove_prefix(3);
    folder.resize(folder.rfind('/'));
  }
  if (relative.substr(0, 2) == "./") relative.remove_prefix(2);
  return folder + "/" + std::string(relative);
}

bool own(const PageFile& file) {
  return file.path.substr(0, 8) != "/vendor/";
}

}  // namespace

TEST_CASE("the page's files are found by their exact path and by no other") {
  const auto document = page_file("/");
  REQUIRE(document);
  CHECK(document->type == "text/html; charset=utf-8");
  CHECK(document->bytes.substr(0, 15) == "<!doctype html>");
  REQUIRE(page_file("/vendor/uplot.js"));
  CHECK(page_file("/vendor/uplot.js")->type == "text/javascript; charset=utf-8");
  REQUIRE(page_file("/vendor/uplot-licence.txt"));
  CHECK(page_file("/vendor/uplot-licence.txt")->bytes.find("MIT") != std::string_view::npos);
  for (const char* path : {"", "/index.html", "app.js", "//app.js", "/app.js?", "/parts/../app.js",
                           "/package.json", "/vendor/", "/APP.JS"})
    CHECK_FALSE(page_file(path));
}

TEST_CASE("each file of the page has bytes, and a tag of its own") {
  std::set<std::string_view> tags;
  for (const PageFile& file : page_files()) {
    INFO(file.path);
    CHECK_FALSE(file.bytes.empty());
    CHECK(std::regex_match(std::string(file.etag), std::regex("\"[0-9a-f]{32}\"")));
    tags.insert(file.etag);
  }
  CHECK(tags.size() == page_files().size());
}

TEST_CASE("the page asks for nothing that is not embedded") {
  std::size_t asked = 0;
  for (const PageFile& file : page_files()) {
    if (!own(file)) continue;
    const bool script = ends_with(file.path, ".js");
    const auto targets = script ? found(file.bytes, "from \"([^\"]+)\"")
                                : found(file.bytes, "(?:src|href)=\"([^\"#][^\"]*)\"");
    for (const std::string& target : targets) {
      INFO(file.path << " asks for " << target);
      CHECK(page_file(resolved(file.path, target)));
      ++asked;
    }
  }
  CHECK(asked > page_files().size());
}

TEST_CASE("the page has no script or style within its document, and names no other host") {
  const std::string_view document = page_file("/")->bytes;
  CHECK(found(document, "( style=| on[a-z]+=|<style|javascript:)").empty());
  CHECK(found(document, "<script([^>]*)>").size() == 1);
  for (const PageFile& file : page_files())
    if (own(file)) {
      INFO(file.path);
      CHECK(found(file.bytes, "(https?://(?!www\\.w3\\.org/))")
                .empty());  // that one names SVG, no host
    }
}
