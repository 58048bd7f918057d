# cmake -DROOT=... -DFOLDERS=a,b -DOUTPUT=FILE -P SourceHash.cmake: writes a C++ file that defines
# sagbench::bench::source_hash(), one SHA-256 over names and contents of all sources in those folders.
string(REPLACE "," ";" folders "${FOLDERS}")
set(sums "")
foreach(folder IN LISTS folders)
  file(GLOB_RECURSE sources RELATIVE ${ROOT} ${ROOT}/${folder}/*.cpp ${ROOT}/${folder}/*.hpp)
  list(SORT sources)
  foreach(source IN LISTS sources)
    file(SHA256 ${ROOT}/${source} sum)
    string(APPEND sums "${sum} ${source}\n")
  endforeach()
endforeach()
string(SHA256 whole "${sums}")
file(WRITE ${OUTPUT} "#include \"bench/source_hash.hpp\"

namespace sagbench::bench {

const char* source_hash() noexcept {
  return \"${whole}\";
}

}  // namespace sagbench::bench
")
