#!/bin/sh
# Runs the tests and, beside them, the soak, on the servers that the environment names: on_services.sh PYTHON OPTION...
# Much of the soak waits. What it found is printed when the tests have ended; either fails the run.
set -eu

python=$1
shift
found=$(mktemp)
"$python" -m tests.soak >"$found" 2>&1 &
soak=$!
trap 'kill "$soak" 2>/dev/null || true; wait "$soak" || true; rm -f "$found"' EXIT
trap 'exit 130' INT
trap 'exit 143' TERM HUP

tests=0
"$python" -m pytest "$@" || tests=$?
proofs=0
wait "$soak" || proofs=$?
cat "$found"
[ "$proofs" -eq 0 ] || exit "$proofs"
exit "$tests"
