#!/bin/sh
# Installs Debian packages without a question: apt.sh PACKAGE... (as root)
set -eu

export DEBIAN_FRONTEND=noninteractive
echo "Installing with apt: $*"
if ! apt-get install -y -qq --no-install-recommends "$@" </dev/null >/dev/null 2>&1; then
    # The list of packages is old or was never fetched.
    apt-get update -qq </dev/null
    apt-get install -y -qq --no-install-recommends "$@" </dev/null >/dev/null
fi
