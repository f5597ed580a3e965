#!/usr/bin/env bash
# The real window under a virtual display: it opens on the demo survey, takes a click, and sleeps when nothing happens.
# Usage: real_window.sh PROGRAM
set -euo pipefail

if [ "$1" = --inside ]; then
  program=$2 folder=$3
  "$program" view "$folder/demo.brook" > "$folder/log" 2>&1 &
  pid=$!
  window=$(timeout 30 xdotool search --sync --onlyvisible --pid "$pid" | head -n 1)
  [ -n "$window" ] || { echo "no window appeared:"; cat "$folder/log"; exit 1; }
  sleep 2
  xdotool mousemove --window "$window" 400 300 mousedown 1
  sleep 0.3
  xdotool mouseup 1
  sleep 2
  kill -0 "$pid" || { echo "the window closed by itself:"; cat "$folder/log"; exit 1; }
  before=$(awk '{print $14 + $15}' "/proc/$pid/stat")
  sleep 30
  after=$(awk '{print $14 + $15}' "/proc/$pid/stat")
  kill "$pid"
  echo "clock ticks used in 30 idle seconds: $((after - before))"
  # Less than 1 % of a core: 30 of 3000 ticks of a hundredth of a second.
  [ $((after - before)) -lt 30 ] || { echo "a window that nobody touches must sleep (less than 1 % of a core)"; exit 1; }
  exit 0
fi

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
export XDG_CONFIG_HOME=$folder
"$1" demo "$folder/demo.brook" 2> /dev/null
timeout 90 xvfb-run -a -s "-screen 0 1280x800x24" bash "${BASH_SOURCE[0]}" --inside "$1" "$folder"
