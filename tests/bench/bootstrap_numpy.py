#!/usr/bin/env python3
"""Times numpy on the bootstrap that core_bench does: the same counts, as many draws, the same interval.

    BROOKMARK_BENCH_COUNTS=/tmp/counts.csv core_bench --benchmark_filter=confidence/family
    /usr/bin/python3 tests/bench/bootstrap_numpy.py /tmp/counts.csv [SAMPLES]

For each sample: 1,000 multinomial draws of its animals over the lines of the table (those that do not score are one
more), the mean score of the scoring animals of each draw, its 2.5 and 97.5 % points. Prints seconds of processor time; with SAMPLES only
so many of them are timed, and the time for all is their share.
"""
import sys
import time

import numpy

sample, count, score = numpy.genfromtxt(sys.argv[1], delimiter=",", skip_header=1, unpack=True)
begin = numpy.flatnonzero(numpy.r_[True, sample[1:] != sample[:-1]])
end = numpy.r_[begin[1:], len(sample)]
of_all = len(begin)
wanted = min(of_all, int(sys.argv[2])) if len(sys.argv) > 2 else of_all
random = numpy.random.Generator(numpy.random.Philox(1))

began = time.process_time()
total = 0.0
for first, last in zip(begin[:wanted], end[:wanted]):
    counts, scores = count[first:last], score[first:last]
    drawn = random.multinomial(int(counts.sum()), counts / counts.sum(), size=1000)
    scores_here = ~numpy.isnan(scores)
    weights = drawn[:, scores_here]
    with numpy.errstate(invalid="ignore"):
        values = weights @ scores[scores_here] / weights.sum(axis=1)
    values = values[~numpy.isnan(values)]
    if len(values):
        low, high = numpy.quantile(values, [0.025, 0.975])
        total += high - low
seconds = time.process_time() - began
print(
    f"numpy {numpy.__version__}: {wanted} samples in {seconds:.2f} s, {of_all} would take "
    f"{seconds * of_all / wanted:.1f} s; mean width of the interval {total / wanted:.4f}"
)
