#!/bin/sh
# Writes constraints.txt from pyproject.toml, for every Python from 3.11 on: lock.sh UV
set -eu

uv=$1
shift
"$uv" pip compile pyproject.toml --group dev --generate-hashes --universal --python-version 3.11 --no-annotate \
    --no-header --no-emit-index-url --no-emit-find-links --quiet "$@" --output-file constraints.txt >/dev/null
if grep -n 'http' constraints.txt; then
    echo "constraints.txt names a host; it must hold names, versions and hashes only." >&2
    exit 1
fi
