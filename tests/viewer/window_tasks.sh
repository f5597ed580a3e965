#!/usr/bin/env bash
# The main tasks of a surveyor, done in the real window under a virtual display with mouse and keyboard. What the window
# shows is read from its own words (--say-state), what is stored from the survey file; nothing waits by the clock.
# Usage: window_tasks.sh PROGRAM
set -euo pipefail

if [ "${1:-}" != --inside ]; then
  folder=$(mktemp -d)
  trap 'rm -rf "$folder"' EXIT
  export XDG_CONFIG_HOME=$folder
  "$1" demo "$folder/demo.brook" 2> /dev/null
  timeout 110 xvfb-run -a -s "-screen 0 1280x800x24" bash "${BASH_SOURCE[0]}" --inside "$1" "$folder"
  exit
fi

program=$2 folder=$3 survey=$3/demo.brook now=$3/now.txt
pid=

fail() {
  echo "FAILED: $*"
  echo "-- what the window said last:"
  head -40 "$now" || true
  cat "$folder/log" || true
  [ -z "$pid" ] || kill -9 "$pid" 2> /dev/null || true
  exit 1
}

# Until a line of the window's words matches; ten seconds at most.
wait_for() {
  local tries=0
  until grep -qE "$1" "$now" 2> /dev/null; do
    tries=$((tries + 1))
    [ "$tries" -lt 200 ] || fail "waited for: $1"
    kill -0 "$pid" 2> /dev/null || fail "the window closed by itself while waiting for: $1"
    sleep 0.05
  done
}
wait_gone() {
  local tries=0
  while grep -qE "$1" "$now" 2> /dev/null; do
    tries=$((tries + 1))
    [ "$tries" -lt 200 ] || fail "waited until gone: $1"
    sleep 0.05
  done
}
said() { grep -m 1 -E "^$1 " "$now" | cut -d ' ' -f 2-; }

open_window() {
  rm -f "$now"
  "$program" view "$survey" --say-state "$now" > "$folder/log" 2>&1 &
  pid=$!
  wait_for '^survey '
  window=$(timeout 30 xdotool search --sync --onlyvisible --pid "$pid" | head -n 1)
  [ -n "$window" ] || fail "no window appeared"
  xdotool windowfocus "$window"
}
close_window() {
  kill "$pid"
  wait "$pid" 2> /dev/null || true
}

click_at() { xdotool mousemove --window "$window" "$1" "$2" mousedown 1 mouseup 1; }
place_of() {
  wait_for "^at $1 [0-9]+ [0-9]+\$"
  grep -m 1 -E "^at $1 [0-9]+ [0-9]+\$" "$now" | awk '{print $(NF-1), $NF}'
}
# A button is clicked once it has stood still: what was done before may still be moving the page.
press() {
  local place before=
  place=$(place_of "button $1") || exit 1
  while [ "$place" != "$before" ]; do
    before=$place
    sleep 0.2
    place=$(place_of "button $1") || exit 1
  done
  click_at $place
}
# For a button of a page on which something is still worked out: an answer that comes between looking and clicking moves
# it. Clicked again until the window says what it does; a second click on it does no more than the first.
press_until() {
  local tries=0 looks
  until grep -qE "$2" "$now"; do
    [ $((tries++)) -lt 5 ] || fail "pressed $1 five times without: $2"
    press "$1"
    for looks in {1..30}; do
      grep -qE "$2" "$now" && break
      sleep 0.1
    done
  done
}
pick_site() {
  local place
  place=$(place_of "site $1") || exit 1
  click_at $place
}
keys() { xdotool key --delay 40 "$@"; }
letters() { xdotool type --delay 40 "$1"; }

echo "1. the survey opens, with its sites on the map"
open_window
sites=$(said sites) samples=$(said samples)
[ "$sites" -gt 5 ] || fail "too few sites: $sites"
wait_for '^at site Q04 '

echo "2. a click on a site opens its page, with the sample behind its class"
pick_site Q04
wait_for '^site Q04$'
wait_for '^page Site$'
wait_for '^sample Q04'

echo "3. back and forth in time"
day=$(said date)
letters '['
wait_gone "^date $day\$"
letters ']'
wait_for "^date $day\$"

echo "4. nearer with the wheel, and everything again"
far=$(said scale)
xdotool mousemove --window "$window" 400 350 click 4
wait_gone "^scale $far\$"
letters 'f'
wait_for "^scale $far\$"

echo "5. the distances to outfalls from the chosen site"
press 'Distance'
wait_for '^query [1-9]'
wait_for '^page Distance$'

echo "6. a new visit: the form by keyboard, then three letters, Enter, a number, Enter"
pick_site Q04
wait_for '^page Site$'
press 'New visit'
wait_for '^sheet Q04$'
press 'Store the visit and count animals'
wait_for '^part tally$'
wait_for '^stored yes$'
wait_for '^keyboard field$'
letters 'gam'
wait_for '^typed gam$'
keys Return
wait_for '^chosen '
letters '12'
keys Return
wait_for "^tally .*: 12\$"

echo "7. taps, one of them taken back; then the program is killed: nothing is lost"
press 'Baetidae'
wait_for '^tally Baetidae: 1$'
press 'Baetidae'
wait_for '^tally Baetidae: 2$'
press 'Baetidae'
wait_for '^tally Baetidae: 3$'
press 'Undo'
wait_for '^tally Baetidae: 2$'
kill -9 "$pid"
wait "$pid" 2> /dev/null || true
"$program" log "$survey" --format csv > "$folder/log.csv"
grep -q 'Baetidae: 2' "$folder/log.csv" || fail "the taps are not in the survey's log"
open_window
[ "$(said samples)" -eq $((samples + 1)) ] || fail "the sample is lost"
pick_site Q04
wait_for '^sample Q04'
press_until 'Go on with sample' '^sheet Q04$'
wait_for '^tally .*: 12$'
wait_for '^tally Baetidae: 2$'
press 'Water'
wait_for '^part water$'
press 'pH'
wait_for '^keyboard field$'
letters '7.4'
keys Return
wait_for '^reading pH: 7.4$'
press 'Done'
wait_gone '^sheet '

echo "8. a site is added on the map"
press 'Edit'
wait_for '^page Edit$'
press 'Add a site'
wait_for '^tool site$'
click_at 300 480
wait_for '^points 1$'
press 'Store'
wait_for "^sites $((sites + 1))\$"
wait_for '^tool none$'

echo "9. a site is moved by dragging, and stored"
pick_site Q04
wait_for '^site Q04$'
press 'Edit'
press 'Move it'
wait_for '^tool move$'
edits=$(said edits)
place=$(place_of 'site Q04') || exit 1
read -r x y <<< "$place"
xdotool mousemove --window "$window" "$x" "$y" mousedown 1
wait_for '^grabbed 0$'
for i in 1 2 3 4; do xdotool mousemove --window "$window" $((x + 6 * i)) $((y - 4 * i)); done
xdotool mouseup 1
wait_gone '^grabbed '
press 'Store'
wait_for '^tool none$'
wait_for "^edits $((edits + 1))\$"
grep -qE '^done Site Q04 moved by ' "$now" || fail "nothing says that it moved"

echo "10. both are taken back, and the survey still checks"
press 'Edit'
press 'Undo the newest edit'
wait_for "^edits $edits\$"
press 'Undo the newest edit'
wait_for "^sites $sites\$"
close_window
"$program" check "$survey" > "$folder/check.csv" || [ $? -eq 1 ] || fail "the survey cannot be checked"
echo "all ten tasks done"
