include(CMakePackageConfigHelpers)

install(TARGETS frostread EXPORT frostread-targets
  ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR})
install(TARGETS frostread_exe RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(DIRECTORY include/frostread DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
install(DIRECTORY rules/ DESTINATION ${CMAKE_INSTALL_DATADIR}/frostread/rules)
install(EXPORT frostread-targets NAMESPACE frostread:: DESTINATION ${CMAKE_INSTALL_LIBDIR}/cmake/frostread)
configure_package_config_file(src/cmake/frostread-config.cmake.in
  "${CMAKE_CURRENT_BINARY_DIR}/frostread-config.cmake" INSTALL_DESTINATION ${CMAKE_INSTALL_LIBDIR}/cmake/frostread)
write_basic_package_version_file("${CMAKE_CURRENT_BINARY_DIR}/frostread-config-version.cmake"
  COMPATIBILITY SameMinorVersion)
install(FILES "${CMAKE_CURRENT_BINARY_DIR}/frostread-config.cmake"
  "${CMAKE_CURRENT_BINARY_DIR}/frostread-config-version.cmake"
  DESTINATION ${CMAKE_INSTALL_LIBDIR}/cmake/frostread)

# Completions and the manual page are made by the program itself, so they cannot drift from it.
if(NOT CMAKE_CROSSCOMPILING)
  set(made "${CMAKE_CURRENT_BINARY_DIR}/share")
  set(made_files "")
  foreach(pair "bash:frostread.bash" "zsh:_frostread" "fish:frostread.fish" "man:frostread.1")
    string(REPLACE ":" ";" pair "${pair}")
    list(GET pair 0 what)
    list(GET pair 1 name)
    add_custom_command(OUTPUT "${made}/${name}"
      COMMAND ${CMAKE_COMMAND} -E make_directory "${made}"
      COMMAND frostread_exe completion ${what} > "${made}/${name}"
      DEPENDS frostread_exe VERBATIM)
    list(APPEND made_files "${made}/${name}")
  endforeach()
  add_custom_target(frostread_made ALL DEPENDS ${made_files})
  install(FILES "${made}/frostread.1" DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
  install(FILES "${made}/frostread.bash" DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions
    RENAME frostread)
  install(FILES "${made}/_frostread" DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/site-functions)
  install(FILES "${made}/frostread.fish" DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d)
endif()
