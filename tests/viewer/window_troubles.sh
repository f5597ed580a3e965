#!/usr/bin/env bash
# What stands in the window's way: a driver without OpenGL 3.3, and a survey that another program holds. Each is said in a
# sentence, under a virtual display.
# Usage: window_troubles.sh PROGRAM
set -euo pipefail

if [ "${1:-}" != --inside ]; then
  folder=$(mktemp -d)
  trap 'rm -rf "$folder"' EXIT
  export XDG_CONFIG_HOME=$folder
  "$1" demo "$folder/demo.brook" 2> /dev/null
  timeout 60 xvfb-run -a -s "-screen 0 1024x700x24" bash "${BASH_SOURCE[0]}" --inside "$1" "$folder"
  exit
fi

program=$2 folder=$3 now=$3/now.txt
fail() {
  echo "FAILED: $*"
  cat "$folder/log" "$now" 2> /dev/null || true
  exit 1
}

echo "1. a driver that offers OpenGL 2.1 only"
code=0
LIBGL_ALWAYS_SOFTWARE=1 MESA_GL_VERSION_OVERRIDE=2.1 timeout 20 "$program" view "$folder/demo.brook" > "$folder/log" 2>&1 ||
  code=$?
[ "$code" -ne 0 ] && [ "$code" -ne 124 ] || fail "a window without OpenGL 3.3 should not open (code $code)"
grep -q 'needs OpenGL 3.3' "$folder/log" || fail "nothing says that OpenGL 3.3 is missing"
grep -q -- '--screenshot' "$folder/log" || fail "nothing says what to do"

echo "2. a survey that another program is writing"
python3 - "$folder" << 'HOLD' &
import pathlib, sqlite3, sys, time
folder = pathlib.Path(sys.argv[1])
held = sqlite3.connect(folder / "demo.brook", isolation_level=None)
held.execute("BEGIN EXCLUSIVE")
(folder / "held").touch()
while not (folder / "free").exists():
    time.sleep(0.05)
held.execute("ROLLBACK")
(folder / "freed").touch()
HOLD
until [ -e "$folder/held" ]; do sleep 0.05; done
"$program" view "$folder/demo.brook" --say-state "$now" > "$folder/log" 2>&1 &
pid=$!
tries=0
until grep -q '^trouble .*another program' "$now" 2> /dev/null; do
  tries=$((tries + 1))
  [ "$tries" -lt 300 ] || fail "the window does not say that the survey is locked"
  kill -0 "$pid" 2> /dev/null || fail "the window closed by itself"
  sleep 0.05
done
grep -q '^sites 0$' "$now" || fail "no survey should be open"
touch "$folder/free"
until [ -e "$folder/freed" ]; do sleep 0.05; done
kill "$pid"
wait "$pid" 2> /dev/null || true
"$program" check "$folder/demo.brook" > /dev/null 2>&1 || [ $? -eq 1 ] || fail "the survey was harmed"
echo "both are said"
