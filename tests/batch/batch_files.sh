#!/bin/sh
# Files, pipes and signals around frostread batch: nothing is lost, nothing is passed over in silence.
# sh batch_files.sh PROGRAM
set -eu
program=$1
here=$(CDPATH= cd -- "$(dirname -- "$0")" && pwd)
folder=$(mktemp -d)
writer=
trap 'exec 7>&-; rm -rf "$folder"' EXIT
cd "$folder"
. "$here/expectations.sh"
# wait_for CONDITION: up to a minute.
wait_for() {
    tries=0
    until sh -c "$1"; do
        tries=$((tries + 1))
        [ "$tries" -lt 600 ] || return 1
        sleep 0.1
    done
}

"$program" practice --draw 12 --seed 5 --readings 8 2>/dev/null >cases.jsonl
sed 's/,"closed":.*$/}/' cases.jsonl >open.jsonl

# An output that is an input as well would be lost.
cp cases.jsonl before
ln -s cases.jsonl link.jsonl
ln cases.jsonl hard.jsonl
mkdir night
cp cases.jsonl night/cases.jsonl
for out in cases.jsonl ./cases.jsonl link.jsonl hard.jsonl; do
    call "$program" batch cases.jsonl --no-next --out $out
    expect 1 "--out $out over its input"
    check "with a sentence" grep -q "nothing was read or written" err
done
code=0
"$program" batch - --no-next --out cases.jsonl <cases.jsonl >out 2>err || code=$?
expect 1 "--out over standard input"
call "$program" batch night --no-next --out night/cases.jsonl
expect 1 "--out over a file of the folder"
code=0
"$program" batch cases.jsonl --no-next >>cases.jsonl 2>err || code=$?
expect 1 "standard output into the input"
check "the cases are as they were" cmp -s cases.jsonl before
"$program" batch cases.jsonl --no-next --out old.jsonl 2>/dev/null
cp old.jsonl old-before
call "$program" batch cases.jsonl --no-next --compare old.jsonl --out old.jsonl
expect 1 "--out over --compare"
check "the earlier run is as it was" cmp -s old.jsonl old-before
sed -n 1p open.jsonl >case.json
cp case.json case-before
call "$program" diagnose case.json --html case.json
expect 1 "--html over the case"
check "the case is as it was" cmp -s case.json case-before
echo '{"format":1}' >extra.json
call "$program" batch cases.jsonl --rules-extra extra.json --out extra.json
expect 1 "--out over the extra rules"
printf 'time,fridge C\n2031-04-17 08:00,4\n' >log.csv
cp log.csv log-before
for option in --svg --html --into; do
    call "$program" templog log.csv $option log.csv
    expect 1 "templog $option over the log"
done
call "$program" templog log.csv --svg page --html ./page
expect 1 "two outputs in one file"
check "the log is as it was" cmp -s log.csv log-before
call "$program" batch cases.jsonl --no-next --out ""
expect 1 "--out without a name"

# What cannot be read is no empty input.
mkdir empty
for command in batch diagnose templog; do
    code=0
    "$program" $command - <empty >out 2>err || code=$?
    expect 2 "$command on a folder as standard input"
    check "with the reason" grep -q "cannot-read" err
    code=0
    "$program" $command - <&- >out 2>err || code=$?
    expect 2 "$command without a standard input"
done
call "$program" batch cases.jsonl no-such.jsonl --no-next
expect 2 "an input that is not there"
check "before anything is answered" test ! -s out
code=0
"$program" batch case.json --no-next --out whole.jsonl >&- 2>err || code=$?
expect 0 "to a file, without a standard output"
check "nothing but the result in the file" test "$(wc -l <whole.jsonl)" -eq 1

# Files of other kinds in a folder.
touch night/notes.txt night/photo.png
call "$program" batch night --no-next
expect 0 "a folder with other files"
check "they are counted" grep -q "^2 files passed over" err

# An earlier run is what batch wrote.
: >nothing
"$program" batch cases.jsonl --no-next --csv >table.csv 2>/dev/null
{ head -2 old.jsonl; echo "garbage"; } >garbage
for old in nothing table.csv garbage cases.jsonl case.json; do
    call "$program" batch cases.jsonl --no-next --compare $old
    expect 2 "--compare $old"
    check "says what is expected of $old" grep -q "no-earlier-run" err
    check "nothing is compared with $old" test ! -s out
done
check "with the line" sh -c "\"$program\" batch cases.jsonl --no-next --compare garbage 2>&1 | grep -q '^garbage:3'"
mkfifo pipe
cat old.jsonl >pipe 2>/dev/null &
writer=$!
call "$program" batch cases.jsonl --no-next --compare pipe
expect 2 "--compare on a pipe"
check "says why" grep -q "pipe" err
kill "$writer" 2>/dev/null || true
wait "$writer" 2>/dev/null || true
rm pipe

# Changes and bad cases together: whoever asked about changes is told.
sed 's/"evaporator-fan-stopped"/"lamp-failed"/; s/"fault":"[a-z-]*"/"fault":"lamp-failed"/' old.jsonl >older.jsonl
{ cat cases.jsonl; echo "[1"; } >with-bad.jsonl
call "$program" batch with-bad.jsonl --no-next --compare older.jsonl --fail-on-change
expect 6 "a change and a bad case"
call "$program" batch with-bad.jsonl --no-next --compare old.jsonl --fail-on-change
expect 4 "a bad case and no change"
call "$program" batch with-bad.jsonl --no-next --compare older.jsonl
expect 4 "a change nobody asked about and a bad case"

# Threads.
call "$program" batch cases.jsonl --no-next --jobs 1000
expect 0 "as many threads as are of use"
check "the same bytes" cmp -s out old.jsonl
call "$program" batch cases.jsonl --jobs 1000000
expect 1 "far too many threads"
check "with the limit" grep -q "0..1024" err

# A filter answers when nothing more is there at the moment.
mkfifo pipe
for jobs in 1 3; do
    "$program" batch - --jobs $jobs <pipe >answers 2>err &
    batch=$!
    exec 7>pipe
    head -2 open.jsonl >&7
    check "two answers while the input is open, $jobs threads" wait_for 'test $(wc -l <answers) -eq 2'
    sed -n 3p open.jsonl >&7
    check "and the third, $jobs threads" wait_for 'test $(wc -l <answers) -eq 3'
    exec 7>&-
    code=0
    wait "$batch" || code=$?
    expect 0 "the filter at the end of its input"
    head -3 open.jsonl | "$program" batch - 2>/dev/null >expected
    check "the same bytes as from a file, $jobs threads" cmp -s answers expected
done

# Signals leave no unfinished file, and what stood there before.
for signal in INT:130 TERM:143 HUP:129; do
    cp old.jsonl kept.jsonl
    "$program" batch - --out kept.jsonl <pipe >out 2>err &
    batch=$!
    exec 7>pipe
    head -2 open.jsonl >&7
    check "an unfinished file" wait_for 'ls kept.jsonl.new-* >/dev/null 2>&1'
    kill -"${signal%:*}" "$batch"
    code=0
    wait "$batch" || code=$?
    exec 7>&-
    expect "${signal#*:}" "SIG${signal%:*}"
    check "nothing is left over after SIG${signal%:*}" test "$(ls -d kept.jsonl* | wc -l)" -eq 1
    check "the old file stands after SIG${signal%:*}" cmp -s kept.jsonl old.jsonl
    check "and that is said" grep -q "kept.jsonl was not written" err
done

[ "$failed" -eq 0 ] && echo "all as expected"
exit "$failed"
