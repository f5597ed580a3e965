#!/usr/bin/env bash
# Installs what is missing, builds the program, makes the demo survey and shows it: in a window where there is a
# display, as a picture where there is none. Safe to repeat.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source demo_area/packages.sh
install_packages "${BUILD_PACKAGES[@]}"

cmake -S . -B build/demo -G Ninja -DBROOKMARK_TESTS=OFF > /dev/null
cmake --build build/demo -j "$(nproc)"
program=$PWD/build/demo/brookmark
survey=$PWD/build/demo/demo.brook
# Made anew when the program is newer; a survey that somebody may have edited meanwhile is kept beside it.
if [ -f "$survey" ] && [ "$program" -nt "$survey" ]; then mv "$survey" "${survey%.brook}-before-$(date +%Y%m%d-%H%M%S).brook"; fi
[ -f "$survey" ] || "$program" demo "$survey"

if [ -z "${CI:-}" ] && [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
  if "$program" view "$survey"; then exit 0; fi
  echo "The window could not be opened; drawing a picture instead."
fi
picture=$PWD/build/demo/demo_map.png
"$program" view "$survey" --screenshot "$picture" --size 1280x800
echo "The map was drawn into $picture"
