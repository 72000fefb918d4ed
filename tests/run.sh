#!/bin/sh
# Installs what is missing (as root; otherwise says what is missing), builds, and runs every test.
#
#   sh tests/run.sh [BUILD_DIR]
#
# FROSTREAD_CMAKE_FLAGS adds flags to the configure step, e.g. -DFROSTREAD_WERROR=ON.
set -eu

root=$(CDPATH= cd -- "$(dirname -- "$0")/.." && pwd)
build=${1:-"$root/build"}
packages="cmake g++ make libcli11-dev nlohmann-json3-dev libfmt-dev catch2 libdlib-dev"
. "$root/tests/packages.sh"
install_missing $packages

# shellcheck disable=SC2086
cmake -S "$root" -B "$build" -DFROSTREAD_TESTS=ON ${FROSTREAD_CMAKE_FLAGS:-}
cmake --build "$build" --parallel "${FROSTREAD_JOBS:-2}"
cd "$build"
exec ctest --output-on-failure -j "${FROSTREAD_JOBS:-2}"
