#!/usr/bin/env bash
# Installs what is missing, builds and runs every test. Safe to repeat; seconds when nothing changed.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source demo_area/packages.sh
install_packages "${BUILD_PACKAGES[@]}" "${TEST_PACKAGES[@]}"

jobs=$(nproc)
echo "== the engine alone (no GDAL, no window), with address and undefined-behaviour checks"
cmake -S . -B build/checked -G Ninja -DBROOKMARK_CORE_ONLY=ON -DBROOKMARK_SANITIZE=ON -DBROOKMARK_FUZZ=ON \
  -DBROOKMARK_PRECOMPILE=ON -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_COMPILER=clang++-16 > /dev/null
cmake --build build/checked -j "$jobs"
echo "== the whole program (of the engine's tests those that count, as it is shipped; all have just been built with checks)"
cmake -S . -B build/release -G Ninja -DBROOKMARK_TESTS=ON -DBROOKMARK_COUNTS_ONLY=ON -DBROOKMARK_BENCH=ON \
  -DBROOKMARK_CHECK_HEADERS=ON -DBROOKMARK_PRECOMPILE=ON > /dev/null
cmake --build build/release -j "$jobs"

echo "== layout"
find core geodata viewer demo_area tests -name '*.[ch]pp' -print0 | xargs -0 clang-format --dry-run -Werror
echo "== the engine alone"
ctest --test-dir build/checked --output-on-failure -j "$jobs"
echo "== what reads strangers' files, fed with nonsense for 30 s each"
bash tests/fuzz/run.sh 30
echo "== everything"
ctest --test-dir build/release --output-on-failure -j "$jobs"
