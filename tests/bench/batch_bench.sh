#!/bin/sh
# The speed table of docs/performance.md, measured side by side in one run.
#
#   sh tests/bench/batch_bench.sh BUILD_DIR [CASES [REPEATS]]
#
# BUILD_DIR was configured with -DFROSTREAD_BENCH=ON -DCMAKE_BUILD_TYPE=Release. CASES defaults to 50000.
# Every measurement is repeated and the best is taken: on a busy machine the best of several says most
# about the program. Both sides of a comparison are measured in turn, so that they share the weather.
set -eu
build=${1:?the build folder}
cases=${2:-50000}
repeats=${3:-5}
program=$build/frostread
bare=$(find "$build" -name bare_parse -type f | head -1)
outside=$(find "$build" -name outside_bench -type f | head -1)
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

if ! [ -x "$program" ] || ! [ -x "$bare" ]; then
    echo "build frostread and bare_parse first (-DFROSTREAD_BENCH=ON)" >&2
    exit 1
fi

# seconds FIELD COMMAND…: best of $repeats; FIELD is "real" or "cpu" (user and system together).
measure() {
    log=$1
    shift
    bash -c 'TIMEFORMAT="%R %U %S"; time "$@" >/dev/null 2>/dev/null' measure "$@" 2>>"$log"
}
best_real() { awk 'NR == 1 || $1 < b { b = $1 } END { printf "%.3f", b }' "$1"; }
best_cpu() { awk 'NR == 1 || $2 + $3 < b { b = $2 + $3 } END { printf "%.3f", b }' "$1"; }
ratio() { awk -v a="$1" -v b="$2" 'BEGIN { if (b > 0) printf "%.2f", a / b; else printf "-" }'; }

echo "machine: $(grep -m1 'model name' /proc/cpuinfo | sed 's/.*: //'), $(nproc) cores, load $(cut -d' ' -f1 /proc/loadavg)"
echo "program: $($program --version | head -1), $(g++ --version | head -1)"

echo
"$program" practice --draw "$cases" --seed 1 --out "$folder/cases.jsonl" 2>/dev/null
size=$(wc -c <"$folder/cases.jsonl")
readings=$(grep -o '"check":' "$folder/cases.jsonl" | wc -l)
echo "$cases drawn cases, $((size / cases)) bytes and $((readings / cases)) readings each; best of $repeats"

i=0
while [ $i -lt "$repeats" ]; do
    measure "$folder/bare" "$bare" "$folder/cases.jsonl"
    measure "$folder/rank" "$program" batch "$folder/cases.jsonl" --jobs 1
    measure "$folder/two" "$program" batch "$folder/cases.jsonl" --jobs 2
    measure "$folder/apart" sh -c '"$0" batch "$1" --jobs 1 & "$0" batch "$1" --jobs 1 & wait' "$program" \
        "$folder/cases.jsonl"
    i=$((i + 1))
done
few=$((cases / 100))
head -$few "$folder/cases.jsonl" >"$folder/few.jsonl"
measure "$folder/full" "$program" batch "$folder/few.jsonl" --next-closed --jobs 1
bare_cpu=$(best_cpu "$folder/bare")
rank_cpu=$(best_cpu "$folder/rank")
full_cpu=$(best_cpu "$folder/full")
per() { awk -v s="$1" -v n="$2" 'BEGIN { printf "%.1f", 1e6 * s / n }'; }
echo
echo "(a) processor time for each case, one thread"
echo "    bare parse into documents           $(per "$bare_cpu" "$cases") µs"
echo "    batch (closed cases: no next step)  $(per "$rank_cpu" "$cases") µs, $(ratio "$rank_cpu" "$bare_cpu") times the bare parse"
echo "    batch --next-closed                 $(per "$full_cpu" "$few") µs ($few cases)"
echo "    wall time: bare $(best_real "$folder/bare") s, batch $(best_real "$folder/rank") s"
echo
echo "(c) wall time of one thread $(best_real "$folder/rank") s, of two $(best_real "$folder/two") s: $(ratio "$(best_real "$folder/rank")" "$(best_real "$folder/two")") times as fast"
# What two cores can give at all: nothing is shared between two programs but the machine.
twice=$(awk -v s="$(best_real "$folder/rank")" 'BEGIN { print 2 * s }')
echo "    two programs side by side, a whole file each: $(best_real "$folder/apart") s, $(ratio "$twice" "$(best_real "$folder/apart")") times as fast as one after the other"

echo
echo "(d) peak memory (the most that was resident)"
for count in 1000 50000 200000; do
    "$program" practice --draw $count --seed 2 --readings 8 --out "$folder/many.jsonl" 2>/dev/null
    for jobs in 1 2; do
        peak=$(bash -c '"$@" >/dev/null 2>&1 & pid=$!; most=0
            while kill -0 $pid 2>/dev/null; do
                now=$(awk "/VmHWM/ { print \$2 }" /proc/$pid/status 2>/dev/null || true)
                [ -n "$now" ] && most=$now
                sleep 0.02
            done; echo $most' measure "$program" batch "$folder/many.jsonl" --jobs $jobs)
        echo "    $count cases, $jobs threads: $peak kB"
    done
done

echo
if command -v jq >/dev/null 2>&1; then
    head -1 "$folder/cases.jsonl" >"$folder/one.json"
    i=0
    while [ $i -lt $((repeats * 4)) ]; do
        measure "$folder/jq" jq . "$folder/one.json"
        measure "$folder/one" "$program" diagnose "$folder/one.json"
        i=$((i + 1))
    done
    echo "(e) from cold: diagnose CASE $(best_real "$folder/one") s, jq . CASE $(best_real "$folder/jq") s: $(ratio "$(best_real "$folder/one")" "$(best_real "$folder/jq")") times"
else
    echo "(e) jq is not installed (Debian package: jq): not compared"
fi

echo
echo "(b)"
if [ -n "$outside" ]; then
    "$outside"
else
    echo "outside_bench was not built (Debian package: libdlib-dev)"
fi
