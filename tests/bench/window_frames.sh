#!/usr/bin/env bash
# How long the frames of the real window take, under a virtual display with software OpenGL, while a hand moves the map, comes
# nearer and farther and drags the slider of days: on an invented survey of 100,000 sites, as many samples, 20,000 reaches
# of 250,000 points. A measurement, no test: how fast the machine is at the moment decides.
# Usage: window_frames.sh PROGRAM [SITES [FOLDER]]       # FOLDER keeps the survey for the next time
# Says frames, the longest, how many of a hundred took longer than 100 ms, and the middle, all in ms.
set -euo pipefail

if [ "$1" = --inside ]; then
  program=$2 folder=$3
  "$program" view "$folder/big.brook" --size 1280x800 --frame-times "$folder/frames.csv" > "$folder/log" 2>&1 &
  pid=$!
  window=$(timeout 120 xdotool search --sync --onlyvisible --pid "$pid" | head -n 1)
  [ -n "$window" ] || { echo "no window appeared:"; cat "$folder/log"; exit 3; }
  xdotool mousemove --window "$window" 400 350
  sleep 5   # the first pictures: buffers are sent, sites are gathered
  rows() { wc -l < "$folder/frames.csv"; }
  part() {  # the frames since the row $2
    tail -n "+$(($2 + 1))" "$folder/frames.csv" | sort -t, -k3,3g | awk -F, -v what="$1" '
      { wall[NR] = $3; own += $4; if ($3 > 100) ++long }
      END { if (NR == 0) { print what ": no frame"; exit }
            printf "%-28s %5d frames, longest %6.1f ms, over 100 ms %d, middle %5.1f ms, own thread %4.1f ms on average\n",
                   what, NR, wall[NR], long, wall[int((NR + 1) / 2)], own / NR }'
  }
  drag() {
    xdotool mousemove --window "$window" 400 350 mousedown 1
    for i in $(seq 1 40); do xdotool mousemove_relative -- "$1" "$2"; sleep 0.016; done
    xdotool mouseup 1
    sleep 1
  }
  wheel() {
    xdotool mousemove --window "$window" 420 360
    for i in $(seq 1 "$2"); do xdotool click "$1"; sleep 0.06; done
    sleep 1
  }
  all=$(rows)
  at=$(rows); drag 4 2; drag -4 -2; part "pan, everything in view" "$at"
  at=$(rows); wheel 4 24; part "nearer by the wheel" "$at"
  at=$(rows); drag 6 3; drag -6 -3; part "pan, near" "$at"
  at=$(rows); wheel 5 24; part "farther by the wheel" "$at"
  at=$(rows)
  xdotool mousemove --window "$window" 700 745 mousedown 1
  for i in $(seq 1 40); do xdotool mousemove_relative -- -12 0; sleep 0.03; done
  xdotool mouseup 1
  sleep 2
  part "slider of days" "$at"
  part "all of these" "$all"
  kill "$pid"
  exit 0
fi

program=$(realpath "$1") sites=${2:-100000}
folder=${3:-}
if [ -z "$folder" ]; then
  folder=$(mktemp -d)
  trap 'rm -rf "$folder"' EXIT
fi
mkdir -p "$folder"
export XDG_CONFIG_HOME=$folder LIBGL_ALWAYS_SOFTWARE=1
mkdir -p "$folder/brookmark"
echo "guide_seen on" > "$folder/brookmark/window"
if [ ! -e "$folder/big.brook" ]; then
  awk -v n="$sites" -v folder="$folder" 'BEGIN {
    srand(7)
    print "locationID,decimalLongitude,decimalLatitude,habitat" > (folder "/sites.csv")
    print "eventID,locationID,eventDate,samplingProtocol,sampleSizeValue,sampleSizeUnit" > (folder "/samples.csv")
    print "eventID,scientificName,individualCount" > (folder "/records.csv")
    split("Gammaridae Baetidae Asellidae Chironomidae Heptageniidae Oligochaeta", family, " ")
    for (i = 1; i <= n; ++i) {
      printf "M%06d,%.6f,%.6f,stream\n", i, -30.4 + 0.8 * rand(), 44.7 + 0.6 * rand() > (folder "/sites.csv")
      printf "E%06d,M%06d,%d-%02d-15,kick sample,180,s\n", i, i, 2020 + i % 6, 3 + i % 8 > (folder "/samples.csv")
      printf "E%06d,%s,%d\n", i, family[1 + int(6 * rand())], 1 + int(40 * rand()) > (folder "/records.csv")
    }
    printf "{\"type\":\"FeatureCollection\",\"features\":[" > (folder "/reaches.geojson")
    reaches = n / 5
    for (r = 1; r <= reaches; ++r) {
      x = -30.4 + 0.8 * rand(); y = 44.7 + 0.6 * rand(); way = 6.28 * rand()
      printf "%s{\"type\":\"Feature\",\"properties\":{\"name\":\"Brook %d\"},\"geometry\":{\"type\":\"LineString\",\"coordinates\":[", (r > 1 ? "," : ""), r > (folder "/reaches.geojson")
      for (k = 0; k < 13; ++k) {
        printf "%s[%.6f,%.6f]", (k > 0 ? "," : ""), x, y > (folder "/reaches.geojson")
        way += 0.8 * (rand() - 0.5); x += 0.0004 * cos(way); y += 0.0003 * sin(way)
      }
      printf "]}}" > (folder "/reaches.geojson")
    }
    print "]}" > (folder "/reaches.geojson")
  }'
  "$program" new "$folder/made.brook" --title "Many sites (invented)"
  "$program" import "$folder/made.brook" sites "$folder/sites.csv"
  "$program" import "$folder/made.brook" samples "$folder/samples.csv"
  "$program" import "$folder/made.brook" records "$folder/records.csv"
  "$program" import "$folder/made.brook" watercourses "$folder/reaches.geojson"
  mv "$folder/made.brook" "$folder/big.brook"
fi
xvfb-run -a -s "-screen 0 1280x800x24" bash "${BASH_SOURCE[0]}" --inside "$program" "$folder"
