# sagbench_npm_ci(<folder> <into> <file>...): installs exactly what <folder>/package-lock.json says into
# <into>/node_modules; the files, relative to <into>, are what others may depend on. No script of a package is run.
find_program(NPM npm)
if(NOT NPM)
  message(FATAL_ERROR "npm is missing: it installs what the live page is made with. ./dev setup, or your system's package npm, brings it.")
endif()

function(sagbench_npm_ci folder into)
  list(TRANSFORM ARGN PREPEND ${into}/)
  set(manifest ${folder}/package.json ${folder}/package-lock.json ${folder}/.npmrc)
  add_custom_command(OUTPUT ${ARGN}
    COMMAND ${CMAKE_COMMAND} -E copy ${manifest} ${into}
    COMMAND ${NPM} ci --ignore-scripts --no-audit --no-fund --no-update-notifier --loglevel=error
    COMMAND ${CMAKE_COMMAND} -E touch ${ARGN}
    DEPENDS ${manifest} WORKING_DIRECTORY ${into} COMMENT "npm ci in ${into}" VERBATIM)
endfunction()
