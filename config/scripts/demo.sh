#!/bin/sh
# Prepares the demo kitchen and serves it until Ctrl-C: demo.sh PYTHON, with PROFILE, RESET, PORT and HOST set.
# With ACT=pictures it shoots the README's pictures from a demo kitchen of its own instead.
set -eu

python=$1
case $PROFILE in
us | eu) ;;
*)
    echo "PROFILE is '$PROFILE': choose us or eu." >&2
    exit 2
    ;;
esac

COLDSET_VAR=$(pwd)/var/demo-$PROFILE
[ "${ACT:-serve}" = serve ] || COLDSET_VAR=$(pwd)/var/$ACT
mkdir -p "$COLDSET_VAR/cache"
chmod 700 "$COLDSET_VAR"
if [ ! -s "$COLDSET_VAR/secret-key" ]; then
    (umask 077 && "$python" -c 'import secrets; print(secrets.token_urlsafe(50))' >"$COLDSET_VAR/secret-key")
fi
# The demo is this folder's alone: nothing of the caller's settings gets in.
for name in $(env | sed -n 's/^\(COLDSET_[A-Z_]*\)=.*/\1/p'); do
    [ "$name" = COLDSET_VAR ] || unset "$name"
done
COLDSET_HTTPS=0
COLDSET_SITE_URL=http://localhost:$PORT
COLDSET_HOSTS=localhost,127.0.0.1,[::1]${HOST:+,$HOST}
COLDSET_LOG_LEVEL=WARNING
DJANGO_SETTINGS_MODULE=config.settings
# Fonts are cached here, whatever HOME is.
XDG_CACHE_HOME=$COLDSET_VAR/cache
export COLDSET_VAR COLDSET_HTTPS COLDSET_SITE_URL COLDSET_HOSTS COLDSET_LOG_LEVEL DJANGO_SETTINGS_MODULE
export XDG_CACHE_HOME PROFILE

if [ "${ACT:-serve}" = pictures ]; then
    exec "$python" manage.py pictures .pictures
fi
first='demo prepare'
if [ "$RESET" = 1 ]; then
    first='demo prepare --reset'
fi
exec "$python" manage.py serve --host "$HOST" --port "$PORT" --first "$first" --then 'demo pages'
