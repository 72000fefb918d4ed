# Warnings are for our own targets only; the target is never exported.
add_library(frostread_warnings INTERFACE)
target_compile_options(frostread_warnings INTERFACE
  -Wall -Wextra -pedantic -Wshadow -Wconversion -Wsign-conversion -Wold-style-cast -Wswitch-enum
  $<$<BOOL:${FROSTREAD_WERROR}>:-Werror>)
