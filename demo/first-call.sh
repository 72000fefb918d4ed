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
# Tests are not needed for a first look. A tests build in the same folder keeps its setting.
flags=""
[ -f "$build/CMakeCache.txt" ] || flags="-DFROSTREAD_TESTS=OFF"

# The last "[ 42%]" of the log, again and again, as long as this script lives and nobody stops it.
show_progress() {
    shown=""
    while kill -0 $$ 2>/dev/null; do
        sleep 1
        share=$(sed -n 's/^\[ *\([0-9]*\)%\].*/\1/p' "$log" 2>/dev/null | tail -n 1)
        [ -n "$share" ] && [ "$share" != "$shown" ] || continue
        if [ -t 2 ]; then
            printf '\r  %s %%  ' "$share" >&2
        elif [ "$share" -ge $((${shown:-0} + 10)) ]; then
            printf '  %s %%\n' "$share" >&2
        else
            continue
        fi
        shown=$share
    done
}

echo "building (a few minutes the first time) ..." >&2
: >"$log"
show_progress &
printer=$!
built=yes
# shellcheck disable=SC2086
{ cmake -S "$root" -B "$build" $flags && cmake --build "$build" --parallel 2 --target frostread_exe; } >"$log" 2>&1 || built=no
kill "$printer" 2>/dev/null || true
wait "$printer" 2>/dev/null || true
[ -t 2 ] && printf '\r         \r' >&2
if [ "$built" = no ]; then
    tail -n 40 "$log" >&2
    echo "The build failed; the whole log is in build/first-call.log" >&2
    exit 1
fi

cd "$root"
echo '$ frostread diagnose demo/short-frost.json'
echo
exec "$build/frostread" diagnose demo/short-frost.json
