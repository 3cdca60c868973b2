#!/bin/sh
# Installs the locked packages into a virtual environment: install.sh PYTHON VENV
set -eu

python=$1
venv=$2
# Run from a folder where it does not matter what HOME is.
export PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_NO_INPUT=1

if ! command -v "$python" >/dev/null 2>&1; then
    echo "There is no $python: install Python 3.11 or later (Debian: apt install python3 python3-venv), or name one: make PYTHON=python3.12" >&2
    exit 1
fi
if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
    echo "$python is older than Python 3.11: install a later one, or name it: make PYTHON=python3.12" >&2
    exit 1
fi
if [ ! -x "$venv/bin/python" ]; then
    if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
        if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
            sh config/scripts/apt.sh python3-venv
        else
            echo "$python cannot make virtual environments: install its venv module (Debian: apt install python3-venv)." >&2
            exit 1
        fi
    fi
    "$python" -m venv "$venv"
fi
echo "Installing the locked packages into $venv (the only step that needs the network)."
"$venv/bin/python" -m pip install --quiet --require-hashes --only-binary :all: -r constraints.txt
touch "$venv/.installed"
