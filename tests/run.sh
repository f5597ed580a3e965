#!/usr/bin/env bash
# Installs what is missing, builds and runs every test. Safe to repeat; seconds when nothing changed.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source demo_area/packages.sh
install_packages "${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}"

jobs=$(nproc)
echo "== the engine alone (no GDAL, no window)"
cmake -S . -B build/core -G Ninja -DBROOKMARK_CORE_ONLY=ON -DBROOKMARK_TESTS=ON -DCMAKE_BUILD_TYPE=Debug -DBROOKMARK_SANITIZE=ON > /dev/null
cmake --build build/core -j "$jobs"
echo "== the whole program"
cmake -S . -B build/release -G Ninja -DBROOKMARK_TESTS=ON -DBROOKMARK_BENCH=ON -DBROOKMARK_CHECK_HEADERS=ON > /dev/null
cmake --build build/release -j "$jobs"

echo "== layout"
find core geodata viewer demo_area tests -name '*.[ch]pp' -print0 | xargs -0 clang-format --dry-run -Werror
echo "== the engine alone, with address and undefined-behaviour checks"
ctest --test-dir build/core --output-on-failure -j "$jobs"
echo "== everything"
ctest --test-dir build/release --output-on-failure -j "$jobs"
