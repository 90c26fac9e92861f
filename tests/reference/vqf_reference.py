"""Orientation without magnetometer by the reference implementation of VQF.

Writes vqf_reference.csv beside itself: the quaternion (w, x, y, z; sensor to
level frame) after every 200th reading of the BROAD cuts, by the package `vqf`
of the filter's authors with default parameters. Run anew only when the cuts
change:

    python3 -m venv venv && venv/bin/pip install vqf==2.1.2 numpy
    venv/bin/python vqf_reference.py FOLDER_OF_THE_CUTS
"""

import csv
import pathlib
import sys

import numpy as np
from vqf import VQF

HERE = pathlib.Path(__file__).resolve().parent
STEP = 200
PERIOD_S = 0.0035

with open(HERE / "vqf_reference.csv", "w", newline="") as out:
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["cut", "reading", "w", "x", "y", "z"])
    for cut in ["02", "05", "25"]:
        path = pathlib.Path(sys.argv[1]) / f"broad_{cut}_40s.csv"
        data = np.genfromtxt(path, delimiter=",", skip_header=1)
        rate, force = (np.ascontiguousarray(data[:, i:i + 3]) for i in (1, 4))
        found = VQF(PERIOD_S).updateBatch(rate, force)["quat6D"]
        for reading in range(STEP - 1, len(found), STEP):
            rows.writerow([cut, reading] + [f"{c:.12f}" for c in found[reading]])
