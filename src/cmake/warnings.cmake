# Warnings are for our own targets only; the target is never exported.
# g++ 12 sees overlapping copies where a std::string is assigned a short literal (GCC bug 105651).
add_library(frostread_warnings INTERFACE)
target_compile_options(frostread_warnings INTERFACE
  -Wall -Wextra -pedantic -Wshadow -Wconversion -Wsign-conversion -Wold-style-cast -Wswitch-enum
  $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict>
  $<$<BOOL:${FROSTREAD_WERROR}>:-Werror>)
