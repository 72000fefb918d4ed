# frostread_embed_rules(target folder): every JSON file of the folder as text inside the target.
# The generated source is rebuilt when a rule file changes, appears or goes.
set(FROSTREAD_EMBED_SCRIPT "${CMAKE_CURRENT_LIST_DIR}/write_embedded.cmake")

function(frostread_embed_rules target folder)
  file(GLOB_RECURSE rule_files CONFIGURE_DEPENDS RELATIVE "${folder}" "${folder}/*.json")
  list(SORT rule_files)
  set(absolute ${rule_files})
  list(TRANSFORM absolute PREPEND "${folder}/")
  set(output "${CMAKE_CURRENT_BINARY_DIR}/embedded_library.cpp")
  add_custom_command(
    OUTPUT "${output}"
    COMMAND "${CMAKE_COMMAND}" "-DFOLDER=${folder}" "-DFILES=${rule_files}" "-DOUTPUT=${output}"
            -P "${FROSTREAD_EMBED_SCRIPT}"
    DEPENDS ${absolute} "${FROSTREAD_EMBED_SCRIPT}"
    COMMENT "Embedding the rule library" VERBATIM)
  target_sources(${target} PRIVATE "${output}")
endfunction()
