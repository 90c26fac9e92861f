"""What somebody writes for a board in an afternoon: pyserial, columns of text, a filter from PyPI.

Reads so many lines of `t_us,ax,ay,az,gx,gy,gz,temp` (g, deg/s) from a port, keeps an orientation
filter and a camber by the arc tangent, and prints the processor time that each sample took, µs:

    python3 makers_script.py PORT SAMPLES none|vqf|basicvqf|imufusion [lines|chunks]

`lines` reads line by line, as the examples of pyserial do; `chunks` takes all that lies there at
once, which is the quickest that pyserial can do.
"""

import math
import sys
import time

import serial

DEG = math.pi / 180.0
GRAVITY_MPS2 = 9.80665
SKIPPED = 200


def filter_of(name):
    """Takes rate (rad/s) and specific force (g)."""
    if name in ("vqf", "basicvqf"):
        import numpy as np
        import vqf

        made = (vqf.VQF if name == "vqf" else vqf.BasicVQF)(0.001)

        def take(rate, force):
            made.updateGyr(np.array(rate))
            made.updateAcc(np.array(force) * GRAVITY_MPS2)
            return made.getQuat6D()

        return take
    if name == "imufusion":
        import imufusion
        import numpy as np

        made = imufusion.Ahrs()
        made.set_sample_period(0.001)

        def take(rate, force):
            made.update_no_magnetometer(np.array(rate) / DEG, np.array(force))
            return made.get_quaternion()

        return take
    return lambda rate, force: None


def lines_of(port, how):
    """Lines as they come."""
    if how == "lines":
        while True:
            yield port.readline()
    rest = b""
    while True:
        rest += port.read(max(1, port.in_waiting))
        *whole, rest = rest.split(b"\n")
        yield from whole


def main():
    path, samples, name = sys.argv[1], int(sys.argv[2]), sys.argv[3]
    how = sys.argv[4] if len(sys.argv) > 4 else "lines"
    take = filter_of(name)
    port = serial.Serial(path, 115200, timeout=10)
    done, camber_deg, began = 0, 0.0, None
    for line in lines_of(port, how):
        columns = line.decode("ascii", "replace").strip().split(",")
        try:
            _, ax, ay, az, gx, gy, gz, _ = (float(column) for column in columns)
        except ValueError:
            continue
        take((gx * DEG, gy * DEG, gz * DEG), (ax, ay, az))
        camber_deg = math.atan2(ay, az) / DEG
        done += 1
        if done == SKIPPED:
            began = time.process_time()
        if done == SKIPPED + samples:
            break
    each_us = (time.process_time() - began) / samples * 1e6
    print(f"{each_us:.3f} {camber_deg:.2f}")


main()
