#!/bin/sh
# The browser stories need Chromium: installs it as root on Debian, otherwise says what is missing. The one without
# windows of its own opens a page in half the processor time; where another is there already, that one does.
set -eu

for name in "${COLDSET_CHROMIUM:-chromium-headless-shell}" chromium chromium-browser google-chrome; do
    if command -v "$name" >/dev/null 2>&1; then
        exit 0
    fi
done
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    if sh config/scripts/apt.sh chromium-headless-shell || sh config/scripts/apt.sh chromium; then
        exit 0
    fi
fi
echo "Chromium is missing: the browser stories will be skipped, and named at the end (Debian: apt install chromium)." >&2
