"""A board in a block, carried from rim to rim: readings with their truth, by scipy alone.

Writes carried_streams.gz beside itself: for each stream a line of JSON, then seven
columns of `count` whole numbers (16 bits, the low byte first): how much longer
than a period after the reading before, µs, force in steps of `accel_step_g`,
rate in steps of `gyro_step_dps`, in the board's axes. Nothing
here is shared with the simulator or with the estimation: attitudes are rotation
splines, the hand's tremble is a sum of sinusoids, rates are differences of
attitudes, the Earth turns, flicker is white noise shaped in the frequency domain.

    python3 -m venv venv && venv/bin/pip install scipy==1.17.* numpy
    venv/bin/python carried_reference.py [STREAMS OF EACH CHIP]

Figures of the chips: data sheets of the LSM6DSO and the MPU-6050 for noise and
steps, from memory; what calibration leaves, flicker and what one g does, by
judgement as in docs/CARRIED.md.
"""

import gzip
import io
import json
import pathlib
import sys

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.spatial.transform import Rotation, RotationSpline

HERE = pathlib.Path(__file__).resolve().parent
SEED = 20260
RATE_HZ = 100.0
REST_S, CARRY_S, TURN_S = 3.6, 6.0, 5.0
GRAVITY_MPS2 = 9.80665
EARTH_RADPS = 7.292115e-5
LATITUDE = np.radians(50.0)
DEG = np.pi / 180.0

CHIPS = {
    # noise °/s/√Hz, bias °/s, flicker °/s (Allan floor), walk °/s/√s, warming °/s/°C,
    # scale, axes, one g °/s, step °/s; accelerometer: noise g/√Hz, offset, scale, axes, step
    "good": dict(noise=0.004, bias=0.2, flicker=0.0015, walk=2e-4, warm=0.005, scale=1e-3, axes=5e-4,
                 per_g=0.05, step=0.004375, a_noise=70e-6, a_offset=0.3e-3, a_scale=3e-4, a_axes=2e-4,
                 a_step=0.061e-3),
    "cheap": dict(noise=0.005, bias=0.5, flicker=0.004, walk=5e-4, warm=0.02, scale=3e-3, axes=1e-3,
                  per_g=0.1, step=0.00763, a_noise=400e-6, a_offset=1e-3, a_scale=1e-3, a_axes=5e-4,
                  a_step=0.061e-3),
}


def rot(axis, rad):
    return Rotation.from_rotvec(np.eye(3)["xyz".index(axis)] * rad)


def smooth(t, begin, length):
    """From 0 to 1 with two smooth derivatives (quintic)."""
    x = np.clip((t - begin) / length, 0.0, 1.0)
    return x * x * x * (10.0 - 15.0 * x + 6.0 * x * x)


class Session:
    """One car, one hand, one block, and where the board is at any time."""

    def __init__(self, rng):
        self.rng = rng
        self.floor_deg = rng.uniform(-1.0, 1.0, 2)
        self.toe_deg = rng.uniform(-0.4, 0.6, 2)
        self.wheel_lean_deg = rng.uniform(-2.5, 2.5, 2)
        self.faces_deg = rng.normal(0.0, 0.05)
        lean = rng.normal(0.0, 1.0)
        apart = rng.normal(0.0, 0.2)
        self.lean_deg = [lean - apart / 2, lean + apart / 2]
        # Any of the four ways a board lies flat in a block.
        self.mount = rot("z", rng.integers(4) * np.pi / 2)
        self.to_left = np.round(self.mount.inv().apply([0.0, 1.0, 0.0]))
        # Places in order: side (0 left, 1 right) and whether the block is turned.
        places = [(0, 0), (1, 0), (0, 0), (0, 1), (1, 1), (0, 1)]
        ways = [CARRY_S, CARRY_S, TURN_S, CARRY_S, CARRY_S]
        self.attitudes = [self.against(*place) for place in places]
        self.positions = [np.array([0.0, 0.87 - 1.74 * side, 0.3]) + rng.normal(0, 0.003, 3)
                          for side, _ in places]
        self.begins, t = [], REST_S
        for way in ways:
            self.begins.append((t, way))
            t += way + REST_S
        self.end_s = t
        # Leaning and turning on each way: a rotation spline through random knots.
        self.leans, self.sways = [], []
        for begin, way in self.begins:
            knots = np.linspace(begin, begin + way, 7)
            turns = Rotation.from_rotvec(rng.normal(0.0, 1.0, (7, 3)) * np.array([5.0, 5.0, 4.0]) * DEG)
            self.leans.append(RotationSpline(knots, turns))
            self.sways.append(CubicSpline(knots, rng.normal(0.0, 0.05, (7, 3))))
        count = 24
        self.tremble = (rng.uniform(8.0, 12.0, (count, 3)), rng.uniform(0, 2 * np.pi, (count, 3)),
                        np.sqrt(2.0 / count))

    def against(self, side, turned):
        """Board to level with the block against a wheel, put on by hand."""
        rng = self.rng
        floor = rot("y", self.floor_deg[1] * DEG) * rot("x", self.floor_deg[0] * DEG)
        heading = (self.toe_deg[1] if side else -self.toe_deg[0]) * DEG
        wheel = floor * rot("z", heading) * rot("x", self.wheel_lean_deg[side] * DEG)
        face = side if not turned else 1 - side
        seat, tip, level = rng.normal(0, 0.01), rng.normal(0, 0.05), rng.normal(0, 0.5)
        wedge = self.faces_deg if face else 0.0
        return (wheel * rot("y", level * DEG) * rot("z", np.pi * turned)
                * rot("z", (wedge + seat) * DEG) * rot("x", (self.lean_deg[face] + tip) * DEG)
                * self.mount)

    def attitude(self, t):
        """Board to level."""
        turn = np.empty((len(t), 4))
        turn[:] = self.attitudes[0].as_quat()
        carried = np.zeros(len(t))
        for number, (begin, way) in enumerate(self.begins):
            now = t >= begin
            share = smooth(t[now], begin, way)
            a, b = self.attitudes[number], self.attitudes[number + 1]
            # Shortest turn; half a turn end for end goes about the vertical as it comes.
            step = (a.inv() * b).as_rotvec()
            moved = a * Rotation.from_rotvec(share[:, None] * step)
            inside = t[now] <= begin + way
            window = smooth(t[now], begin, 0.2 * way) * (1 - smooth(t[now], begin + 0.8 * way, 0.2 * way))
            within = np.clip(t[now], begin, begin + way)
            lean = Rotation.from_rotvec(self.leans[number](within).as_rotvec() * (window * inside)[:, None])
            turn[now] = (moved * lean).as_quat()
            carried[now] = window * inside
        hz, phase, size = self.tremble
        waves = (np.sin(2 * np.pi * hz[None] * t[:, None, None] + phase[None]) * size).sum(axis=1)
        rms_dps = 0.3 + 2.7 * carried
        angle = waves * (rms_dps * DEG / (2 * np.pi * 10.0))[:, None]
        return Rotation.from_quat(turn) * Rotation.from_rotvec(angle)

    def position(self, t):
        where = np.tile(self.positions[0], (len(t), 1))
        for number, (begin, way) in enumerate(self.begins):
            now = t >= begin
            share = smooth(t[now], begin, way)[:, None]
            a, b = self.positions[number], self.positions[number + 1]
            window = (smooth(t[now], begin, 0.3 * way) * (1 - smooth(t[now], begin + 0.7 * way, 0.3 * way)))[:, None]
            round_front = np.array([1.0, 0.0, 0.0]) if abs(a[1] - b[1]) > 0.5 else np.zeros(3)
            sway = self.sways[number](np.clip(t[now], begin, begin + way))
            where[now] = a + share * (b - a) + window * (round_front + sway)
        return where


def flicker(rng, count, floor, rate_hz):
    """White noise shaped to 1/f whose Allan deviation has this floor (2 ln 2 h = floor²)."""
    h = floor ** 2 / (2 * np.log(2))
    # Longer than what is used, so that its ends are not one another's neighbours.
    n = 8 * count
    f = np.fft.rfftfreq(n, 1.0 / rate_hz)
    spectrum = np.zeros(len(f), complex)
    amplitude = np.sqrt(h / f[1:] * rate_hz * n / 2.0)
    spectrum[1:] = amplitude * (rng.normal(size=len(f) - 1) + 1j * rng.normal(size=len(f) - 1)) / np.sqrt(2)
    return np.fft.irfft(spectrum, n)[:count]


def stream(seed, name):
    chip = CHIPS[name]
    rng = np.random.default_rng(seed)
    session = Session(rng)
    period = 1.0 / RATE_HZ
    true_s = np.arange(0.0, session.end_s, period) + rng.normal(0, 100e-6, int(np.ceil(session.end_s * RATE_HZ)))
    h = 1e-4
    before, now, after = (session.attitude(true_s + d) for d in (-h, 0.0, h))
    rate = (before.inv() * after).as_rotvec() / (2 * h)
    # The Earth turns about an axis that points north and up; where north is is anybody's guess.
    north = rng.uniform(0, 2 * np.pi)
    earth = EARTH_RADPS * np.array([np.cos(LATITUDE) * np.cos(north), np.cos(LATITUDE) * np.sin(north),
                                    np.sin(LATITUDE)])
    rate += now.inv().apply(earth)
    g = 1e-3
    acceleration = (session.position(true_s + g) - 2 * session.position(true_s) + session.position(true_s - g)) / g ** 2
    force = now.inv().apply(acceleration / GRAVITY_MPS2 + np.array([0.0, 0.0, 1.0]))

    count = len(true_s)
    matrix = lambda scale, axes: np.eye(3) + rng.normal(0, axes, (3, 3)) * (1 - np.eye(3)) + np.diag(rng.normal(0, scale, 3))
    wander = np.stack([flicker(rng, count, chip["flicker"], RATE_HZ)
                       + np.cumsum(rng.normal(0, chip["walk"] * np.sqrt(period), count))
                       for _ in range(3)], axis=1)
    warmed = rng.uniform(0, 2) * (1 - np.exp(-true_s / 120.0))
    offset = (rng.normal(0, chip["bias"], 3) + wander + warmed[:, None] * rng.normal(0, chip["warm"], 3)) * DEG
    read = rate @ matrix(chip["scale"], chip["axes"]).T + offset
    read += force @ (rng.normal(0, chip["per_g"], (3, 3)) * DEG).T
    read += rng.normal(0, chip["noise"] * np.sqrt(RATE_HZ / 2), (count, 3)) * DEG
    felt = force @ matrix(chip["a_scale"], chip["a_axes"]).T + rng.normal(0, chip["a_offset"], 3)
    felt += rng.normal(0, chip["a_noise"] * np.sqrt(RATE_HZ / 2), (count, 3))
    stamps = np.round((true_s + rng.normal(0, 30e-6, count)) * 1e6).astype(int)
    floor = session.floor_deg + rng.normal(0, 0.1, 2)
    told = dict(chip=name, seed=seed, true_total_toe_deg=float(session.toe_deg.sum()),
                to_left=[int(v) for v in session.to_left], floor_roll_deg=float(floor[0]),
                floor_pitch_deg=float(floor[1]), floor_standard_deg=0.1, count=count,
                first_us=int(stamps[0]), period_us=round(1e6 * period),
                accel_step_g=chip["a_step"], gyro_step_dps=chip["step"])
    later = np.diff(stamps, prepend=stamps[0] - told["period_us"]) - told["period_us"]
    columns = np.column_stack([later, np.round(felt / chip["a_step"]), np.round(read / DEG / chip["step"])])
    return told, columns.T.astype("<i2")


def main(each):
    out = io.BytesIO()
    for number in range(2 * each):
        told, columns = stream(SEED + number, "good" if number < each else "cheap")
        out.write(json.dumps(told).encode() + b"\n" + columns.tobytes())
    with open(HERE / "carried_streams.gz", "wb") as raw:
        with gzip.GzipFile(fileobj=raw, mode="wb", compresslevel=9, mtime=0, filename="") as packed:
            packed.write(out.getvalue())


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
