"""Ten thousand series of a hundred values with SciPy, beside core_bench's `trends`: kendalltau (tau-b, p) and theilslopes
(slope with interval). Usage: python3 tests/bench/trend_scipy.py [SERIES]   (Debian package python3-scipy; for measuring only).

Times are of the processor, as in core_bench's CPU column: one thread, whatever else the machine does."""
import sys
import time

import numpy
import scipy
from scipy import stats

series = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
random = numpy.random.RandomState(20240503)
times = numpy.arange(1901.0, 2001.0)
values = random.randint(0, 100, (series, 100)) + numpy.arange(100) // 10


def timed(what, work):
    start = time.process_time()
    for row in values:
        work(row)
    spent = time.process_time() - start
    print(f"{what}: {spent * 1000:.0f} ms for {series} series, {series / spent:.0f} series/s (SciPy {scipy.__version__})")


timed("test alone", lambda y: stats.kendalltau(times, y))
timed("test, slope and interval", lambda y: (stats.kendalltau(times, y), stats.theilslopes(y, times)))
