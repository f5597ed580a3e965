#!/usr/bin/env bash
# Builds the fuzz targets and runs each for some seconds from its corpus, as many at once as there are cores.
# Usage: run.sh SECONDS [TARGET...]     BROOKMARK_FUZZ_BUILD: where to build (default build/checked)
# What a target finds is left in that folder, with the command to run it again.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
seconds=$1
shift
targets=("$@")
[ ${#targets[@]} -gt 0 ] || targets=(csv method layer survey)
build=${BROOKMARK_FUZZ_BUILD:-build/checked}
cmake -S . -B "$build" -G Ninja -DBROOKMARK_CORE_ONLY=OFF -DBROOKMARK_SANITIZE=ON -DBROOKMARK_FUZZ=ON \
  -DCMAKE_BUILD_TYPE=Debug -DCMAKE_CXX_COMPILER=clang++-16 > /dev/null
cmake --build "$build" -- "${targets[@]/#/fuzz_}" | tail -n 1

run_one() {
  local name=$1 grown
  grown=$(mktemp -d)
  if ASAN_OPTIONS=detect_leaks=0 "$build/tests/fuzz/fuzz_$name" -max_total_time="$seconds" -timeout=20 -rss_limit_mb=3000 \
    -max_len=20000 -artifact_prefix="$build/$name-" -print_final_stats=1 "$grown" "tests/fuzz/corpus/$name" \
    > "$build/$name.log" 2>&1; then
    echo "fuzz $name: nothing found in $(sed -n 's/^stat::number_of_executed_units: *//p' "$build/$name.log") runs"
    rm -rf "$grown"
  else
    tail -n 60 "$build/$name.log"
    echo "fuzz $name found something; again: $build/tests/fuzz/fuzz_$name $build/$name-*"
    rm -rf "$grown"
    return 1
  fi
}
export -f run_one
export build seconds
printf '%s\n' "${targets[@]}" | xargs -P "$(nproc)" -I{} bash -c 'run_one {}'
