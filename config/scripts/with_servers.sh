#!/bin/sh
# Starts a PostgreSQL and a Redis for one command and throws them away afterwards: with_servers.sh COMMAND...
# Installs them as root on Debian. Nothing of a server that already runs on the machine is touched, except where
# COLDSET_DATABASE_URL and COLDSET_BROKER_URL name servers: those are used then, and left as they are.
set -eu

if [ -n "${COLDSET_DATABASE_URL:-}" ] && [ -n "${COLDSET_BROKER_URL:-}" ]; then
    exec "$@"
fi

folder=$(mktemp -d)
redis=
owner=
cleanup() {
    if [ -n "$redis" ]; then
        kill "$redis" 2>/dev/null || true
        wait "$redis" 2>/dev/null || true
    fi
    if [ -s "$folder/data/postmaster.pid" ]; then
        as_owner "$bin/pg_ctl" -D "$folder/data" -m immediate -w stop >/dev/null 2>&1 || true
    fi
    rm -rf "$folder"
}
trap cleanup EXIT
trap 'exit 130' INT
trap 'exit 143' TERM

as_owner() {
    if [ -n "$owner" ]; then
        (cd / && setpriv --reuid="$owner" --regid="$(id -g "$owner")" --clear-groups env HOME="$folder" LC_ALL=C "$@")
    else
        (cd / && LC_ALL=C "$@")
    fi
}

find_bin() {
    bin=
    for found in /usr/lib/postgresql/*/bin; do
        [ -x "$found/initdb" ] && bin=$found
    done
    if [ -z "$bin" ] && command -v initdb >/dev/null 2>&1; then
        bin=$(dirname "$(command -v initdb)")
    fi
    [ -n "$bin" ]
}

install() {
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
        sh config/scripts/apt.sh "$1"
    else
        echo "These tests need $1 (Debian: apt install $1)." >&2
        exit 1
    fi
}

find_bin || install postgresql
find_bin
command -v redis-server >/dev/null 2>&1 || install redis-server

if [ "$(id -u)" = 0 ]; then
    # PostgreSQL refuses to run as root.
    owner=nobody
    if id postgres >/dev/null 2>&1; then owner=postgres; fi
    chown "$owner" "$folder"
fi
port() {
    .venv/bin/python -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'
}
postgres_port=$(port)
redis_port=$(port)

as_owner "$bin/initdb" -D "$folder/data" -U coldset -A trust -E UTF8 --locale=C >"$folder/initdb.log" 2>&1 ||
    { cat "$folder/initdb.log" >&2; exit 1; }
as_owner "$bin/pg_ctl" -D "$folder/data" -l "$folder/data/log" -w start >/dev/null \
    -o "-p $postgres_port -h 127.0.0.1 -k $folder -F -c max_connections=200 -c synchronous_commit=off" ||
    { cat "$folder/data/log" >&2; exit 1; }
redis-server --port "$redis_port" --bind 127.0.0.1 --save '' --appendonly no --daemonize no --dir "$folder" \
    >/dev/null 2>&1 &
redis=$!
until redis-cli -p "$redis_port" ping >/dev/null 2>&1; do
    kill -0 "$redis" 2>/dev/null || { echo "Redis did not start." >&2; exit 1; }
    sleep 0.1
done

COLDSET_DATABASE_URL=postgresql://coldset@127.0.0.1:$postgres_port/postgres
COLDSET_BROKER_URL=redis://127.0.0.1:$redis_port/0
export COLDSET_DATABASE_URL COLDSET_BROKER_URL
"$@"
