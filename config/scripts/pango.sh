#!/bin/sh
# The PDFs need Pango: installs it as root on Debian, otherwise says what to install. pango.sh PYTHON
set -eu

packages='libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0'

loads() {
    "$1" - <<'PYTHON'
import ctypes.util, sys

def there(linux, other):
    try:
        ctypes.CDLL(linux)
    except OSError:
        return ctypes.util.find_library(other) is not None
    return True

needed = [("libpango-1.0.so.0", "pango-1.0"), ("libpangoft2-1.0.so.0", "pangoft2-1.0")]
if sys.platform == "linux":
    needed.append(("libharfbuzz-subset.so.0", "harfbuzz-subset"))
sys.exit(not all(there(*names) for names in needed))
PYTHON
}

if loads "$1"; then
    exit 0
fi
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
    # shellcheck disable=SC2086 # a list of packages
    sh config/scripts/apt.sh $packages
else
    echo "PDFs cannot be made until Pango is installed (Debian: apt install $packages; macOS: brew install pango)." >&2
fi
