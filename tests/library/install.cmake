# cmake -DBUILD=... -DPREFIX=... -P install.cmake: PREFIX holds afterwards what a person gets who installs the libraries
# alone, and nothing of an earlier time.
file(REMOVE_RECURSE ${PREFIX})
execute_process(COMMAND ${CMAKE_COMMAND} --install ${BUILD} --component library --prefix ${PREFIX}
  COMMAND_ERROR_IS_FATAL ANY)
