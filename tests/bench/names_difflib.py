#!/usr/bin/env python3
"""Times difflib.get_close_matches on the names that core_bench writes.

    BROOKMARK_BENCH_NAMES=/tmp/names.tsv core_bench --benchmark_filter=name
    python3 tests/bench/names_difflib.py /tmp/names.tsv

Prints misspelt names resolved a second, best of three runs over the first 200 of them.
"""
import difflib
import sys
import time

listed, asked = [], []
with open(sys.argv[1], encoding="utf-8") as file:
    for line in file:
        part, name = line.rstrip("\n").split("\t")
        (listed if part == "listed" else asked).append(name.lower())
asked = asked[:200]
best = float("inf")
for _ in range(3):
    began = time.perf_counter()
    for name in asked:
        difflib.get_close_matches(name, listed, n=3, cutoff=0.66)
    best = min(best, time.perf_counter() - began)
print(f"difflib: {len(asked) / best:.0f} names/s against {len(listed)} names")
