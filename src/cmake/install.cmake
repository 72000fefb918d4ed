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
