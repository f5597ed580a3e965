#!/usr/bin/env bash
# A PostgreSQL server with PostGIS for as long as one command runs: in a folder of its own, on this machine only, ended with it.
# Usage: with_server.sh COMMAND [WORDS...]   the command finds it through BROOKMARK_TEST_SERVER, see start_server below
#        with_server.sh --stop|--start FOLDER   in the middle of it: away at once, as when a machine loses its power; and back
set -euo pipefail

programs=$(ls -d /usr/lib/postgresql/*/bin 2> /dev/null | sort -V | tail -n 1)
[ -x "$programs/initdb" ] || { echo "there is no PostgreSQL server here; install the packages of demo_area/packages.sh" >&2; exit 1; }

# The server refuses to run as root.
as_user() {
  if [ "$(id -u)" -eq 0 ]; then
    (cd / && runuser -u postgres -- "$@")
  else
    "$@"
  fi
}

stop() { as_user "$programs/pg_ctl" -D "$1/data" -m immediate -s stop; }
start() { as_user "$programs/pg_ctl" -D "$1/data" -l "$1/log" -s -w -t 60 start || { cat "$1/log" >&2; return 1; }; }

case "$1" in
  --stop) stop "$2"; exit 0 ;;
  --start) start "$2"; exit 0 ;;
esac

folder=$(mktemp -d)
chmod 755 "$folder"
[ "$(id -u)" -eq 0 ] && chown postgres "$folder"
trap 'stop "$folder" 2> /dev/null || true; rm -rf "$folder"' EXIT

# A port that nothing listens on; a second try, where somebody was faster.
free_port() { python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'; }

as_user "$programs/initdb" -D "$folder/data" -U owner -A trust -E UTF8 --locale=C.UTF-8 --no-sync > /dev/null
# Through the socket everybody is believed; through the network only who knows the password.
cat > "$folder/hba" <<'RULES'
local all all trust
host all all 127.0.0.1/32 scram-sha-256
RULES
as_user cp "$folder/hba" "$folder/data/pg_hba.conf"
for try in 1 2 3; do
  port=$(free_port)
  as_user tee "$folder/data/postgresql.auto.conf" > /dev/null <<SETTINGS
listen_addresses = '127.0.0.1'
port = $port
unix_socket_directories = '$folder'
fsync = off
timezone = 'Asia/Kathmandu'
password_encryption = 'scram-sha-256'
SETTINGS
  start "$folder" && break
  [ "$try" -lt 3 ] || exit 1
done

# The words of a connection, the folder for --stop and --start, and the port for connections by password.
export BROOKMARK_TEST_SERVER="host=$folder port=$port user=owner"
export BROOKMARK_TEST_SERVER_FOLDER=$folder BROOKMARK_TEST_SERVER_PORT=$port
export BROOKMARK_TEST_SERVER_SCRIPT=${BASH_SOURCE[0]}
"$@"
