#!/usr/bin/env python3
"""Times scipy's multi-source Dijkstra on the tree that core_bench writes.

    BROOKMARK_BENCH_TREE=/tmp/tree.csv core_bench --benchmark_filter=nearest/
    python3 tests/bench/tree_scipy.py /tmp/tree.csv

Prints the best of three runs in milliseconds, and the sum of the finite distances for comparison.
"""
import sys
import time

import numpy
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

node, down, length_m, outfall = numpy.genfromtxt(
    sys.argv[1], delimiter=",", skip_header=2, unpack=True
)  # the second line is the mouth, which drains nowhere
count = len(node) + 1
with open(sys.argv[1], encoding="utf-8") as file:
    mouth_is_outfall = file.readlines()[1].strip().endswith(",1")
flow = csr_matrix((length_m, (node.astype(int), down.astype(int))), shape=(count, count))
outfalls = node[outfall == 1].astype(int)
if mouth_is_outfall:
    outfalls = numpy.append(outfalls, 0)

for name, graph, directed in (("up", flow, True), ("down", flow.T.tocsr(), True), ("any", flow, False)):
    best = float("inf")
    for _ in range(3):
        began = time.perf_counter()
        distance = dijkstra(graph, directed=directed, indices=outfalls, min_only=True)
        best = min(best, time.perf_counter() - began)
    reached = numpy.isfinite(distance)
    print(f"{name}: {best * 1000:.0f} ms, {reached.sum()} nodes reached, sum {distance[reached].sum():.3f} m")
