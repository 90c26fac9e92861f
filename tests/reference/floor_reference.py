"""Planes through four pads by numpy.linalg.lstsq.

Writes floor_planes.csv beside itself; a test of the core compares its own
planes with it. Run anew only when the cases change:

    python3 -m venv venv && venv/bin/pip install numpy==2.3.5
    venv/bin/python floor_reference.py

Roll is + where the left side is higher, pitch + where the front is lower. The
worst residual of a pad, over half the narrower track or half the wheelbase, is
added to the uncertainty of the slope in square.
"""

import csv
import pathlib

import numpy as np

HERE = pathlib.Path(__file__).resolve().parent
CASES = [
    # heights front left, front right, rear left, rear right; one sigma of each; tracks, wheelbase; mm
    ([0, 0, 0, 0], [0.5] * 4, 1500, 1500, 2600),
    ([6, 0, 6, 0], [0.5] * 4, 1500, 1500, 2600),
    ([-8, -8, 0, 0], [0.5] * 4, 1480, 1520, 2560),
    ([3.5, -1.0, 12.5, 7.0], [1.0] * 4, 1510, 1465, 2710),
    ([2, -2, -2, 2], [0.5] * 4, 1500, 1500, 2600),
    ([4.2, 1.1, -3.3, 0.4], [0.5, 1.0, 2.0, 0.7], 1390, 1420, 2320),
    ([100, 52, -31, -80], [1.5] * 4, 1700, 1650, 3100),
]


def plane(heights, sigmas, front, rear, base):
    x = np.array([base, base, -base, -base]) / 2
    y = np.array([front, -front, rear, -rear]) / 2
    rows = np.column_stack([x, y, np.ones(4)])
    w = 1 / np.array(sigmas, float)
    solution, *_ = np.linalg.lstsq(rows * w[:, None], np.array(heights, float) * w, rcond=None)
    covariance = np.linalg.pinv(rows * w[:, None]) @ np.linalg.pinv(rows * w[:, None]).T
    residual = np.array(heights) - rows @ solution
    # Directions of the car in the plane, against the plumb line.
    forward = np.array([1, 0, solution[0]])
    forward /= np.linalg.norm(forward)
    normal = np.array([-solution[0], -solution[1], 1])
    normal /= np.linalg.norm(normal)
    left = np.cross(normal, forward)
    pitch = -np.arcsin(forward[2])
    roll = np.arctan2(left[2], normal[2])
    worst = np.abs(residual).max()
    u_roll = np.hypot(np.sqrt(covariance[1, 1]), 2 * worst / min(front, rear))
    u_pitch = np.hypot(np.sqrt(covariance[0, 0]), 2 * worst / base)
    twist = (residual * [1, -1, -1, 1]).mean()
    return [roll, pitch, u_roll, u_pitch, twist]


def main():
    with open(HERE / "floor_planes.csv", "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow("fl_mm fr_mm rl_mm rr_mm u_fl_mm u_fr_mm u_rl_mm u_rr_mm track_front_mm track_rear_mm "
                     "wheelbase_mm roll_rad pitch_rad u_roll_rad u_pitch_rad twist_mm".split())
        for heights, sigmas, front, rear, base in CASES:
            found = plane(heights, sigmas, front, rear, base)
            out.writerow([*heights, *sigmas, front, rear, base, *(repr(float(f)) for f in found)])


if __name__ == "__main__":
    main()
