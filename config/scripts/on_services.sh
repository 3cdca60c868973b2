#!/bin/sh
# Runs the tests and, beside them, the soak, on the servers that the environment names: on_services.sh PYTHON OPTION...
# Much of the soak waits. What it found is printed when the tests have ended; either fails the run.
# Fewer proofs at once than alone: what waits for a busy machine looks again and again, and keeps it busier.
set -eu

python=$1
shift
found=$(mktemp)
JOBS="${JOBS:-$(getconf _NPROCESSORS_ONLN)}" "$python" -m tests.soak >"$found" 2>&1 &
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
