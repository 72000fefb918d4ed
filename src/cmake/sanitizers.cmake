add_library(frostread_sanitizers INTERFACE)
if(FROSTREAD_SANITIZE)
  target_compile_options(frostread_sanitizers INTERFACE
    -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer)
  target_link_options(frostread_sanitizers INTERFACE -fsanitize=address,undefined)
endif()
