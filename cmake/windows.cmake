# Builds for 64-bit Windows 10 and later with Debian's mingw-w64, against the static libraries that
# cmake/windows/libraries puts into build-windows/libs. Used by the preset "windows".

set(CMAKE_SYSTEM_NAME Windows)
set(CMAKE_SYSTEM_PROCESSOR x86_64)
set(target x86_64-w64-mingw32)
# The compiler whose std::thread is there.
set(CMAKE_C_COMPILER ${target}-gcc-posix)
set(CMAKE_CXX_COMPILER ${target}-g++-posix)
set(CMAKE_RC_COMPILER ${target}-windres)

# Windows 10: consoles that know escape sequences, and a program's own code page. Big objects: one with
# Asio's coroutines has more sections than the usual format counts. A printf that knows %zu and %lld.
set(definitions "-D_WIN32_WINNT=0x0A00 -DWIN32_LEAN_AND_MEAN -DNOMINMAX -D__USE_MINGW_ANSI_STDIO=1")
set(CMAKE_C_FLAGS_INIT "${definitions}")
set(CMAKE_CXX_FLAGS_INIT "${definitions} -Wa,-mbig-obj")
set(libraries ${CMAKE_CURRENT_LIST_DIR}/../build-windows/libs)
# One file to copy, that asks for no other. The folder is told since qpdf's package names libjpeg without one.
set(CMAKE_EXE_LINKER_FLAGS_INIT "-static -L${libraries}/lib")

set(CMAKE_FIND_ROOT_PATH ${libraries} /usr/${target})
set(CMAKE_FIND_ROOT_PATH_MODE_PROGRAM NEVER)
set(CMAKE_FIND_ROOT_PATH_MODE_LIBRARY ONLY)
set(CMAKE_FIND_ROOT_PATH_MODE_INCLUDE ONLY)
set(CMAKE_FIND_ROOT_PATH_MODE_PACKAGE ONLY)

set(CMAKE_CROSSCOMPILING_EMULATOR ${CMAKE_CURRENT_LIST_DIR}/windows/wine)
