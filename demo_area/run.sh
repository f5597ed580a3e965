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
[ -f "$survey" ] || "$program" demo "$survey"

if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
  exec "$program" view "$survey"
fi
picture=$PWD/build/demo/demo_map.png
"$program" view "$survey" --screenshot "$picture" --size 1280x800
echo "There is no display here, so the map was drawn into $picture"
