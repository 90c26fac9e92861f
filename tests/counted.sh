# Sourced by checks that are programs of the shell: counts what held and what did not.
passed=0 failed=0 skipped=0
ok() { passed=$((passed + 1)); echo "ok: $1"; }
bad() { failed=$((failed + 1)); echo "FAILED: $1"; }
left_out() { skipped=$((skipped + 1)); echo "SKIPPED: $1"; }
# check WHAT COMMAND...: counts whether the command succeeds; what it says is shown if it does not.
check() {
    local what=$1 said
    shift
    if said=$("$@" 2>&1); then ok "$what"; else bad "$what"; printf '%s\n' "$said" | sed 's/^/    /'; fi
}
within() { # SECONDS COMMAND...: until it succeeds
    local until=$((SECONDS + $1))
    shift
    until "$@" >/dev/null 2>&1; do
        [ $SECONDS -lt $until ] || return 1
        sleep 0.1
    done
}
# The last line, and the exit status.
total() {
    printf '\n%d passed, %d failed, %d skipped\n' "$passed" "$failed" "$skipped"
    [ "$failed" = 0 ]
}
