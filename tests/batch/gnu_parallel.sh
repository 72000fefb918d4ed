#!/bin/sh
# One large file split over processes gives what one process gives.  sh gnu_parallel.sh PROGRAM
set -eu
program=$1
if ! command -v parallel >/dev/null 2>&1 || ! parallel --version 2>/dev/null | grep -q "^GNU parallel"; then
    echo "SKIPPED: GNU parallel is not installed (Debian package: parallel)"
    exit 77
fi
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
HOME=$folder
export HOME
"$program" practice --draw 300 --seed 9 --readings 8 --out cases.jsonl 2>/dev/null
"$program" batch cases.jsonl --no-next --jobs 1 >one.jsonl 2>/dev/null
parallel --will-cite --pipe --keep-order --block 40k -j 3 "$program batch - --no-next --jobs 1 2>>notes" \
    <cases.jsonl >many.jsonl
if ! cmp one.jsonl many.jsonl; then
    echo "FAILED: split over processes the output differs"
    exit 1
fi
processes=$(wc -l <notes)
if [ "$processes" -lt 2 ]; then
    echo "FAILED: the file was not split ($processes process)"
    exit 1
fi
echo "300 cases over $processes processes: the same bytes as one"
