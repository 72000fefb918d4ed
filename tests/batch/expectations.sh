# What a test of the program expects; sourced. `failed` tells whether all of it came true.
failed=0

# expect CODE WHAT: compares the exit code of the last `call`.
call() {
    code=0
    "$@" >out 2>err || code=$?
}
expect() {
    if [ "$code" -ne "$1" ]; then
        echo "FAILED: $2: exit code $code, expected $1"
        cat err
        failed=1
    fi
}
check() {
    what=$1
    shift
    if ! "$@"; then
        echo "FAILED: $what"
        failed=1
    fi
}
