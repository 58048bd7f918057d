# cmake -DLIST=FILE -DOUTPUT=FILE -P EmbedPage.cmake: writes the C++ file behind bench/live/page_files.hpp.
# LIST has a line "URL-PATH|FILE" for each file. Equal files give an equal result, wherever they lie.
set(type_of_html "text/html; charset=utf-8")
set(type_of_js "text/javascript; charset=utf-8")
set(type_of_css "text/css; charset=utf-8")
set(type_of_svg "image/svg+xml")
set(type_of_txt "text/plain; charset=utf-8")

file(STRINGS ${LIST} lines)
set(arrays "")
set(rows "")
set(number 0)
foreach(line IN LISTS lines)
  string(REPLACE "|" ";" parts "${line}")
  list(GET parts 0 path)
  list(GET parts 1 file)
  cmake_path(GET file EXTENSION LAST_ONLY extension)
  string(SUBSTRING "${extension}" 1 -1 extension)
  if(NOT DEFINED type_of_${extension})
    message(FATAL_ERROR "${file}: no content type is known for .${extension}")
  endif()
  file(READ ${file} hex HEX)
  file(SHA256 ${file} sum)
  string(SUBSTRING ${sum} 0 32 tag)
  string(REGEX REPLACE "(..)" "'\\\\x\\1'," bytes "${hex}")
  string(APPEND arrays "constexpr char kBytes${number}[] = {${bytes}};\n")
  string(APPEND rows "    {\"${path}\", \"${type_of_${extension}}\", {kBytes${number}, sizeof kBytes${number}}, \"\\\"${tag}\\\"\"},\n")
  math(EXPR number "${number} + 1")
endforeach()

file(WRITE ${OUTPUT} "#include \"bench/live/page_files.hpp\"

namespace sagbench::live {
namespace {

${arrays}
constexpr PageFile kFiles[] = {
${rows}};

}  // namespace

std::span<const PageFile> page_files() noexcept {
  return kFiles;
}

std::optional<PageFile> page_file(std::string_view path) noexcept {
  for (const PageFile& file : kFiles)
    if (file.path == path) return file;
  return std::nullopt;
}

}  // namespace sagbench::live
")
