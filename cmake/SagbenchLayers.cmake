# One library target per folder. A target sees the headers of the layers it links and of no other: each layer
# exports an include directory that holds nothing but a link to its own folder, so an include against the
# arrows of the design does not compile. For layers that other projects may use see SagbenchLibrary.cmake.

# What differs from system to system is in files of its own, NAME_posix.cpp and NAME_windows.cpp; one of the two is
# compiled.
if(WIN32)
  set(SAGBENCH_SYSTEM windows)
else()
  set(SAGBENCH_SYSTEM posix)
endif()

add_library(sagbench_options INTERFACE)
if(WIN32)
  add_subdirectory(${PROJECT_SOURCE_DIR}/cmake/windows ${PROJECT_BINARY_DIR}/windows)
  target_link_libraries(sagbench_options INTERFACE sagbench_utf8_text)
endif()
target_compile_options(sagbench_options INTERFACE -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Werror)
# a * b + c in one rounding, where a processor can do that (arm64), would make a run's bytes depend on the computer.
target_compile_options(sagbench_options INTERFACE -ffp-contract=off)
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
  # False alarms of GCC 12, other ones with each level of optimization: on std::string's operator+ (its bug 105651), and
  # on the frames of coroutines.
  target_compile_options(sagbench_options INTERFACE
    -Wno-restrict -Wno-array-bounds -Wno-stringop-overflow -Wno-stringop-overread -Wno-mismatched-new-delete)
endif()
if(SAGBENCH_SANITIZE STREQUAL "address")
  set(sanitizers address,undefined)
elseif(SAGBENCH_SANITIZE STREQUAL "thread")
  set(sanitizers thread)
elseif(SAGBENCH_SANITIZE)
  message(FATAL_ERROR "SAGBENCH_SANITIZE is \"${SAGBENCH_SANITIZE}\"; accepted are address, thread and nothing")
endif()
if(SAGBENCH_SANITIZE)
  target_compile_options(sagbench_options INTERFACE -fsanitize=${sanitizers} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  # An empty optional that is read is no error to a sanitizer.
  target_compile_definitions(sagbench_options INTERFACE _GLIBCXX_ASSERTIONS)
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    # False alarms with -fsanitize. The last: Asio's fences, which the thread sanitizer does not follow; what they
    # guard it sees by the atomics beside them.
    target_compile_options(sagbench_options INTERFACE
      -Wno-maybe-uninitialized -Wno-mismatched-new-delete -Wno-array-bounds -Wno-stringop-overflow
      -Wno-stringop-overread -Wno-tsan)
  endif()
  target_link_options(sagbench_options INTERFACE -fsanitize=${sanitizers})
endif()
if(SAGBENCH_FUZZ)
  target_compile_options(sagbench_options INTERFACE
    -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
    -fno-sanitize=function)  # Clang 14 cannot assemble coroutines with it
  target_link_options(sagbench_options INTERFACE -fsanitize=address,undefined)
endif()

# sagbench_layer(<folder> SOURCES ... LINKS ...): the library sagbench::<folder>.
function(sagbench_layer folder)
  cmake_parse_arguments(LAYER "" "" "SOURCES;LINKS" ${ARGN})
  set(view ${PROJECT_BINARY_DIR}/layers/${folder})
  file(MAKE_DIRECTORY ${view})
  file(CREATE_LINK ${PROJECT_SOURCE_DIR}/${folder} ${view}/${folder} SYMBOLIC)
  add_library(sagbench_${folder} STATIC ${LAYER_SOURCES})
  add_library(sagbench::${folder} ALIAS sagbench_${folder})
  target_compile_features(sagbench_${folder} PUBLIC cxx_std_20)
  target_include_directories(sagbench_${folder} PUBLIC $<BUILD_INTERFACE:${view}>)
  target_link_libraries(sagbench_${folder} PUBLIC ${LAYER_LINKS} PRIVATE $<BUILD_INTERFACE:sagbench_options>)
endfunction()
