#!/bin/sh
# Installs what is missing (as root; otherwise says what is missing), builds the program, diagnoses an
# invented case and prints the result.
#
#   sh demo/first-call.sh
set -eu

root=$(CDPATH= cd -- "$(dirname -- "$0")/.." && pwd)
build="$root/build"
. "$root/tests/packages.sh"
install_missing cmake g++ make libcli11-dev nlohmann-json3-dev libfmt-dev

log="$root/build/first-call.log"
mkdir -p "$build"
echo "Building; this takes a few minutes the first time."
# Tests are not needed for a first look. A tests build in the same folder keeps its setting.
flags=""
[ -f "$build/CMakeCache.txt" ] || flags="-DFROSTREAD_TESTS=OFF"
# shellcheck disable=SC2086
if ! { cmake -S "$root" -B "$build" $flags && cmake --build "$build" --parallel 2 --target frostread_exe; } >"$log" 2>&1; then
    tail -n 40 "$log" >&2
    echo "The build failed; the whole log is in build/first-call.log" >&2
    exit 1
fi

cd "$root"
echo '$ frostread diagnose demo/short-frost.json'
echo
exec "$build/frostread" diagnose demo/short-frost.json
