"""Processor time of orientation filters by themselves, ns for each sample.

    filters_alone.py FILE

FILE holds float64 numbers in rows of six: rate in rad/s and specific force in m/s2, 100 rows a second.
Prints a line for each filter: its ns, then its name. The least of several runs counts.
"""

import sys
import time

import imufusion
import numpy
import vqf

RUNS = 15
PERIOD_S = 0.01

rows = numpy.fromfile(sys.argv[1]).reshape(-1, 6)
rate_radps, accel_mps2 = numpy.ascontiguousarray(rows[:, :3]), numpy.ascontiguousarray(rows[:, 3:])


def batch(kind):
    def run():
        kind(PERIOD_S).updateBatch(rate_radps, accel_mps2)

    return run


def one_by_one():
    ahrs = imufusion.Ahrs()
    ahrs.set_sample_period(PERIOD_S)
    for rate, accel in zip(rate_dps, accel_g):
        ahrs.update_no_magnetometer(rate, accel)


rate_dps, accel_g = numpy.degrees(rate_radps), accel_mps2 / 9.80665
for name, run in [
    ("vqf VQF, C++, in batch", batch(vqf.VQF)),
    ("vqf BasicVQF, C++, in batch", batch(vqf.BasicVQF)),
    ("imufusion, C, called for each sample", one_by_one),
]:
    least_ns = float("inf")
    for _ in range(RUNS):
        began = time.process_time_ns()
        run()
        least_ns = min(least_ns, time.process_time_ns() - began)
    print(f"{least_ns / len(rows):.1f} {name}")
