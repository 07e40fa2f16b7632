"""The benchmark's 20-quantity chain in numpy, in chunks, with a counter-based generator.

Prints one line of JSON: nanoseconds of processor time per trial, mean and standard deviation.
"""

import json
import sys
import time

import numpy as np
from numpy.random import Generator, Philox

CHUNK = 65_536
trials = int(sys.argv[1])


def chunk(rng):
    r = [rng.uniform(-0.001, 0.001, CHUNK) for _ in range(12)]
    s = [rng.uniform(-1.0, 1.0, CHUNK) for _ in range(2)]
    n = [rng.standard_normal(CHUNK) for _ in range(4)]
    t = [rng.triangular(-1.0, 0.0, 1.0, CHUNK) for _ in range(2)]
    top = 34 * np.exp(-r[0] * (1 + r[1])) * (1 + r[2]) * (1 + r[3])
    ratio = 100 * (1 + r[4] + 1e-5 * t[0]) / (1 + r[5] + 1e-5 * t[1])
    node = top / (1 + ratio) + 1e-4 * n[0] + 1e-5 * s[0]
    code = np.floor(node / (0.001 * (1 + r[6]) * (1 + r[7])) + 0.1 * n[1] + 0.5)
    return (
        code * 0.001 * 101 / (1 + r[8])
        + 1e-3 * n[2]
        + r[9]
        + r[10] * 0.1
        + 1e-4 * n[3]
        + r[11] * s[1]
    )


rng = Generator(Philox(1))
chunk(rng)
chunks = max(1, trials // CHUNK)
total = squares = 0.0
start = time.process_time()
for _ in range(chunks):
    y = chunk(rng)
    total += y.sum()
    squares += np.square(y).sum()
elapsed = time.process_time() - start
count = chunks * CHUNK
mean = total / count
print(
    json.dumps(
        {
            "nanoseconds": elapsed / count * 1e9,
            "mean": mean,
            "deviation": float(np.sqrt(squares / count - mean * mean)),
            "version": np.__version__,
        }
    )
)
