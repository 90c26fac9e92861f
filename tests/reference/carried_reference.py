"""Readings of a board that is carried from wheel to wheel, made by scipy.

Writes carried_streams.csv.gz and carried_truth.json beside itself; a test feeds
them to the core and compares with the truth. Nothing of the project's simulator
is in it: attitudes are splines of rotations (scipy's RotationSpline, rates by its
derivative), places are cubic splines (forces by their second derivative), flicker
is white noise shaped in the frequency domain, and the Earth rotates. Run anew only
when the cases change:

    python3 -m venv venv && venv/bin/pip install scipy==1.17.1
    venv/bin/python carried_reference.py
"""

import gzip
import json
import pathlib
import sys

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.spatial.transform import Rotation, RotationSpline

HERE = pathlib.Path(__file__).resolve().parent
DEG = np.pi / 180.0
GRAVITY = 9.80665
RATE_HZ = 100.0
EARTH = 7.292115e-5
LATITUDE, HEADING = 48.0 * DEG, 37.0 * DEG
TRACK, WHEELBASE, RADIUS = 1.46, 2.6, 0.31

# Noise density (°/s)/√Hz, flicker's Allan floor °/s, walk (°/s)/√s, scale, axes, (°/s)/g; then µg/√Hz, mg, scale, axes.
CHIPS = {
    "ideal": dict(gyro=(0, 0, 0, 0, 0, 0), accel=(0, 0, 0, 0), steps=(1e-6, 1e-7)),
    "good": dict(gyro=(0.004, 0.0015, 2e-4, 1e-3, 5e-4, 0.05), accel=(70, 0.3, 3e-4, 2e-4), steps=(125 / 262144, 1 / 65536)),
    "cheap": dict(gyro=(0.005, 0.004, 5e-4, 3e-3, 1e-3, 0.1), accel=(400, 1, 1e-3, 5e-4), steps=(250 / 32768, 1 / 16384)),
}
CASES = [("ideal", 1, "front", 0.0), ("good", 2, "front", 0.01), ("cheap", 3, "front", 0.01), ("good", 4, "all", 0.01)]


def smooth(x):
    """From 0 to 1 with three derivatives at rest."""
    x = np.clip(x, 0.0, 1.0)
    return x ** 4 * (35 - 84 * x + 70 * x ** 2 - 20 * x ** 3)


def waves(rng, t, low, high, count):
    """A sum of waves with a root mean square of one."""
    hz, phase = rng.uniform(low, high, count), rng.uniform(0, 2 * np.pi, count)
    return np.sqrt(2 / count) * np.sin(2 * np.pi * np.outer(t, hz) + phase).sum(axis=1)


def flicker(rng, count, rate_hz):
    """1/f noise whose Allan deviation is flat at one: one-sided h/f with 2 h ln 2 = 1."""
    long = 16 * count
    f = np.fft.rfftfreq(long, 1 / rate_hz)
    spectrum = np.zeros(len(f))
    spectrum[1:] = 1 / (2 * np.log(2)) / f[1:]
    shape = np.sqrt(spectrum * long * rate_hz / 4) * (rng.normal(size=len(f)) + 1j * rng.normal(size=len(f)))
    return np.fft.irfft(shape, long)[:count]


def plan(course):
    """Wheels in order, with whether the block is turned, and the seconds of the way there."""
    there = {
        "front": [("FL", 0, 3), ("FR", 0, 6), ("FL", 0, 6), ("FL", 1, 5), ("FR", 1, 6), ("FL", 1, 6)],
        "all": [("FL", 0, 3), ("FR", 0, 6), ("RR", 0, 7), ("RL", 0, 6), ("FL", 0, 7), ("FL", 1, 5),
                ("FR", 1, 6), ("RR", 1, 7), ("RL", 1, 6), ("FL", 1, 7)],
    }
    return there[course]


def session(chip, seed, course, seat_deg):
    rng = np.random.default_rng(seed)
    toe = {w: rng.uniform(-0.4, 0.6) for w in ("FL", "FR", "RL", "RR")}
    camber = {w: rng.uniform(-2.5, 0.5) for w in toe}
    roll, pitch = rng.uniform(-0.8, 0.8, 2) * DEG
    floor = Rotation.from_euler("y", pitch) * Rotation.from_euler("x", roll)
    faces = rng.uniform(-0.08, 0.08) * DEG
    lean = rng.uniform(-1, 1, 2) * DEG
    if chip == "ideal":
        faces, lean = 0.0, np.zeros(2)

    def put_on(wheel, turned):
        s = 1 if wheel[1] == "L" else -1
        g, t = camber[wheel] * DEG, toe[wheel] * DEG
        out = floor.apply([np.cos(g) * np.sin(t), s * np.cos(g) * np.cos(t), -np.sin(g)])
        y = s * out
        z = np.array([0, 0, 1.0]) - y * y[2]
        z /= np.linalg.norm(z)
        rim = Rotation.from_matrix(np.column_stack([np.cross(y, z), y, z]))
        first = (s > 0) != bool(turned)
        block = (Rotation.from_euler("y", rng.normal() * (0.5 if chip != "ideal" else 0.0) * DEG)
                 * Rotation.from_euler("z", np.pi * turned)
                 * Rotation.from_euler("z", (0 if first else faces) + rng.normal() * seat_deg * DEG)
                 * Rotation.from_euler("x", lean[0 if first else 1]))
        ahead = 0.0 if wheel[0] == "F" else -WHEELBASE
        place = floor.apply([ahead, s * TRACK / 2, RADIUS]) + 0.15 * out
        return rim * block, place

    rest_s = 3.4
    at = 0.0
    knots = np.arange(0.0, 200.0, 0.01)
    steps = plan(course)
    lasts = sum(s + rest_s for *_, s in steps)
    knots = knots[knots <= lasts + 0.5]
    away = np.zeros(len(knots))
    base = [None] * len(knots)
    position = np.zeros((len(knots), 3))
    here = (Rotation.from_euler("xyz", [4, -3, 2], degrees=True), np.array([0.3, TRACK / 2 + 0.4, 0.6]))
    for wheel, turned, seconds in steps:
        there = put_on(wheel, turned)
        # A knot on the border belongs to the later step, whatever rounding did to it.
        inside = (knots > at - 1e-6) & (knots < at + seconds + rest_s - 1e-6)
        x = smooth((knots[inside] - at) / seconds)
        turn = (here[0].inv() * there[0]).as_rotvec()
        if turned and abs(np.linalg.norm(turn) - np.pi) < 0.2:
            turn = turn if turn[2] > 0 else turn * (1 - 2 * np.pi / np.linalg.norm(turn))
        for i, share in zip(np.flatnonzero(inside), x):
            base[i] = here[0] * Rotation.from_rotvec(turn * share)
        u = (knots[inside] - at) / seconds
        off = smooth(u / 0.2) * smooth((1 - u) / 0.2)
        away[inside] = off
        bulge = np.outer(off, [0.9 if wheel[0] == "F" else -0.9, 0, 0.15])
        position[inside] = here[1] + np.outer(x, there[1] - here[1]) + bulge
        lean_size = 5 * DEG
        for axis in range(3):
            wave = waves(rng, knots[inside], 0.1, 0.6, 3) * lean_size * off
            for i, a in zip(np.flatnonzero(inside), wave):
                base[i] = base[i] * Rotation.from_rotvec(a * np.eye(3)[axis])
        at += seconds + rest_s
        here = there
    for i in range(len(knots)):
        if base[i] is None:
            base[i], position[i] = here
    taken = smooth(knots / 0.3)
    size = (0.3 + 2.7 * away) * taken * DEG / (2 * np.pi * 10)
    tremble = np.column_stack([waves(rng, knots, 8, 12, 5) * size for _ in range(3)])
    attitude = RotationSpline(knots, Rotation.concatenate(base) * Rotation.from_rotvec(tremble))
    sway = np.column_stack([waves(rng, knots, 8, 12, 5) * 1e-4 * away for _ in range(3)])
    place = CubicSpline(knots, position + sway)

    pace = 1 + 6e-5
    count = int(knots[-2] * RATE_HZ)
    t = (np.arange(count) + 1.0) / RATE_HZ
    t = t + rng.normal(size=count) * 1e-4
    t = t[t < knots[-2]]
    count = len(t)
    to_level = attitude(t)
    rate = attitude(t, 1)  # in the axes of the moving frame
    earth = EARTH * np.array([np.cos(LATITUDE) * np.cos(HEADING), np.cos(LATITUDE) * np.sin(HEADING), np.sin(LATITUDE)])
    rate = rate + to_level.inv().apply(earth)
    force = to_level.inv().apply(place(t, 2) / GRAVITY + [0, 0, 1])

    nd, floor_dps, walk, scale, axes, per_g = CHIPS[chip]["gyro"]
    ug, mg, a_scale, a_axes = CHIPS[chip]["accel"]

    def matrix(on, off):
        return np.eye(3) + rng.normal(size=(3, 3)) * (np.full((3, 3), off) + np.eye(3) * (on - off))

    drift = np.column_stack([flicker(rng, count, RATE_HZ) for _ in range(3)]) * floor_dps
    drift += np.cumsum(rng.normal(size=(count, 3)), axis=0) * walk / np.sqrt(RATE_HZ)
    drift += np.outer(t / 60, rng.normal(size=3)) * (0.005 if chip != "ideal" else 0.0)
    gyro = rate @ matrix(scale, axes).T / DEG
    gyro += force @ (rng.normal(size=(3, 3)) * per_g).T + drift
    gyro += rng.normal(size=3) * 0.3 + rng.normal(size=(count, 3)) * nd * np.sqrt(RATE_HZ / 2)
    accel = force @ matrix(a_scale, a_axes).T + rng.normal(size=3) * mg * 1e-3
    accel += rng.normal(size=(count, 3)) * ug * 1e-6 * np.sqrt(RATE_HZ / 2)
    step_dps, step_g = CHIPS[chip]["steps"]
    stamps = np.round((t * pace + rng.normal(size=count) * 3e-5) * 1e6).astype(int)
    rows = np.column_stack([stamps, np.round(gyro / step_dps), np.round(accel / step_g)]).astype(int)
    measured = np.array([roll, pitch]) / DEG + (rng.normal(size=2) * 0.1 if chip != "ideal" else 0.0)
    truth = dict(chip=chip, course=course, toe_deg=toe, floor_measured_deg=list(measured),
                 step_dps=step_dps, step_g=step_g, readings=count)
    return rows, truth


def main():
    cases, many = CASES, None
    if len(sys.argv) > 1:
        many = int(sys.argv[1])
        cases = [(chip, seed, "front", 0.01) for chip in ("good", "cheap") for seed in range(100, 100 + many)]
    folder = HERE if many is None else pathlib.Path(sys.argv[2])
    truths = []
    with gzip.GzipFile(folder / "carried_streams.csv.gz", "wb", mtime=0) as out:
        for case in cases:
            rows, truth = session(*case)
            # Differences pack better than readings.
            differences = np.vstack([rows[:1], np.diff(rows, axis=0)])
            out.write("\n".join(",".join(map(str, row)) for row in differences).encode() + b"\n\n")
            truths.append(truth)
    (folder / "carried_truth.json").write_text(json.dumps(truths, indent=1) + "\n")


if __name__ == "__main__":
    main()
