#!/bin/sh
# frostread batch and practice --draw as a script meets them.  sh batch_program.sh PROGRAM
set -eu
program=$1
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
. "$here/expectations.sh"

call "$program" practice --draw 40 --seed 5 --readings 8
expect 0 "drawing"
cp out cases.jsonl
check "40 cases" test "$(wc -l <cases.jsonl)" -eq 40
check "says what they are worth" grep -q "not the truth of the rules" err
check "and in each case" test "$(grep -c "not the truth of the rules" cases.jsonl)" -eq 40

call "$program" batch cases.jsonl --no-next --jobs 1
expect 0 "ranking"
cp out one.jsonl
check "one line for each case" test "$(wc -l <one.jsonl)" -eq 40
for jobs in 2 5; do
    call "$program" batch cases.jsonl --no-next --jobs $jobs
    check "the same bytes with $jobs threads" cmp -s out one.jsonl
done
code=0
"$program" batch - --no-next <cases.jsonl >out 2>err || code=$?
expect 0 "standard input"
check "the same from standard input" cmp -s out one.jsonl

# A bad case stands in its place; the rest goes on.
sed '7s/"frostread":1/"frostread":1,,/; 9s/"check":"/"check":"zzz/' cases.jsonl >bad.jsonl
call "$program" batch bad.jsonl --no-next
expect 4 "two bad cases"
check "every case has a line" test "$(wc -l <out)" -eq 40
check "the seventh is an error with its line" sh -c 'sed -n 7p out | grep -q "\"where\":\"bad.jsonl:7:"'
check "a summary" grep -q "40 cases: 38 diagnosed, 2 bad" err
sed '7d;9d' out >rest
sed '7d;9d' one.jsonl >rest-before
check "the others are untouched" cmp -s rest rest-before
call "$program" batch bad.jsonl --no-next --strict
expect 2 "strict"
check "strict stops there" test "$(wc -l <out)" -eq 7

# A file is there whole or not at all.
call "$program" batch cases.jsonl --no-next --out kept.jsonl
expect 0 "to a file"
check "the same in the file" cmp -s kept.jsonl one.jsonl
check "nothing on standard output" test ! -s out
call "$program" batch bad.jsonl --no-next --strict --out kept.jsonl
expect 2 "strict to a file"
check "the old file stands" cmp -s kept.jsonl one.jsonl
check "nothing is left over" test "$(ls kept.jsonl* | wc -l)" -eq 1
call "$program" batch cases.jsonl --no-next --out no/such/folder/x
expect 5 "a file that cannot be written"
call "$program" batch no-such.jsonl
expect 2 "an input that is not there"
call "$program" batch cases.jsonl --jsob
expect 1 "an option that does not exist"
call "$program" batch cases.jsonl --fail-on-change
expect 1 "--fail-on-change without --compare"

# Files and folders, mixed.
mkdir -p folder/sub
sed -n 1p cases.jsonl >folder/b.json
sed -n 2p cases.jsonl >folder/sub/c.json
sed -n 3,5p cases.jsonl >folder/a.jsonl
call "$program" batch folder --no-next
expect 0 "a folder"
{ sed -n 3,5p one.jsonl; sed -n 1,2p one.jsonl; } >expected
check "by name" cmp -s out expected

# CSV: a heading, a row for each case, cautions before the next step.
call "$program" batch bad.jsonl --no-next --csv
expect 4 "CSV"
check "a row for each case" test "$(wc -l <out)" -eq 41
check "cautions before the step" sh -c 'head -1 out | grep -q "cautions,verdict,next_check"'

# What changed.
call "$program" batch cases.jsonl --no-next --compare one.jsonl --fail-on-change
expect 0 "no change"
check "says so" grep -q "^0 of 40 cases changed" out
sed 's/"evaporator-fan-stopped"/"lamp-failed"/' one.jsonl >older.jsonl
call "$program" batch cases.jsonl --no-next --compare older.jsonl --fail-on-change
expect 6 "a change"
tac cases.jsonl >turned.jsonl
call "$program" batch turned.jsonl --no-next --compare one.jsonl --fail-on-change
expect 0 "another order is no change"
check "all were found" grep -q "^0 of 40 cases changed" out

# Scores.
call "$program" batch cases.jsonl --no-next --score --out scored.jsonl
expect 0 "score"
check "a report" grep -q "found fault stands first" out
check "that says what drawn cases are worth" grep -q "not the truth of the rules" out
check "and the results as well" cmp -s scored.jsonl one.jsonl
call "$program" batch cases.jsonl --no-next --score --json
expect 0 "score as JSON"
check "a JSON report" grep -q '"frostread_score": 1' out

# The next step is there unless it is left out or the case is closed.
head -3 cases.jsonl >few.jsonl
call "$program" batch few.jsonl
expect 0 "closed cases"
check "no closed case has a next step" test "$(grep -c '"next":null' out)" -eq 3
call "$program" batch few.jsonl --no-next --next-closed
expect 1 "both flags"
call "$program" batch few.jsonl --next-closed
expect 0 "with the next step"
check "every line has one" test "$(grep -c '"next":{"action":"' out)" -eq 3

[ "$failed" -eq 0 ] && echo "all as expected"
exit "$failed"
