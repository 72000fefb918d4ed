#!/bin/sh
# Writes the tables of docs/outside-checks.md afresh, out of tests/rules/charts.json, mapping.json and the rules.
#
#   sh tests/rules/outside_checks.sh [BUILD_DIR]
#
# BUILD_DIR (default: build) was configured with -DFROSTREAD_TESTS=ON; it is brought up to date first.
set -eu
root=$(CDPATH= cd -- "$(dirname -- "$0")/../.." && pwd)
build=${1:-$root/build}
cmake --build "$build" --target frostread_tests
"$(find "$build" -name frostread_tests -type f | head -1)" "[.write-outside-checks]"
git -C "$root" diff --stat -- docs/outside-checks.md 2>/dev/null || true
