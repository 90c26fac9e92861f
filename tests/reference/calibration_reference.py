"""Poses of made boards and their calibration by scipy.optimize.least_squares.

Writes calibration_poses.csv and calibration_results.csv beside itself; the
tests of the core compare its own solution with them. Run anew only when the
cases change:

    python3 -m venv venv && venv/bin/pip install scipy==1.17.1
    venv/bin/python calibration_reference.py

Nothing is shared with the core but the statement of the problem: the slopes
are taken numerically, and where the poses hold all nine numbers the matrix is
solved in another gauge (lower triangular) and turned into the symmetric one by
its polar factor, covariance included.
"""

import csv
import pathlib

import numpy as np
from scipy.linalg import polar
from scipy.optimize import approx_fprime, least_squares

HERE = pathlib.Path(__file__).resolve().parent
NAMES = ["offset_x", "offset_y", "offset_z", "scale_x", "scale_y", "scale_z",
         "cross_xy", "cross_xz", "cross_yz"]
PRIOR_RAD = 0.02 / np.sqrt(2.0)

FACES = [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)]
EDGES = [(1, 1, 0), (1, 0, -1), (0, -1, 1), (-1, 1, 0), (-1, 0, -1), (0, -1, -1)]
CORNERS = [(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]


def symmetric(p):
    return np.array([[1 + p[3], p[6], p[7]], [p[6], 1 + p[4], p[8]], [p[7], p[8], 1 + p[5]]])


def lower(p):
    return np.array([[1 + p[3], 0, 0], [p[6], 1 + p[4], 0], [p[7], p[8], 1 + p[5]]])


def lengths(p, matrix, reads, noise):
    """Residuals in standard deviations of the noise, the gain of the matrix left out."""
    seen = (reads - p[:3]) @ matrix(p).T
    return (np.linalg.norm(seen, axis=1) - 1.0) / noise


def gains(p, matrix, reads):
    seen = (reads - p[:3]) @ matrix(p).T
    up = seen / np.linalg.norm(seen, axis=1)[:, None]
    return np.linalg.norm(up @ matrix(p), axis=1)


def to_symmetric(p):
    """The same lengths from a symmetric matrix."""
    _, factor = polar(lower(p), side="right")
    return np.array([*p[:3], factor[0, 0] - 1, factor[1, 1] - 1, factor[2, 2] - 1,
                     factor[0, 1], factor[0, 2], factor[1, 2]])


def solve(reads, noise, with_prior):
    matrix = symmetric if with_prior else lower
    p = np.zeros(9)
    # The gain of the matrix depends on the solution a little: weigh again until it stays.
    for _ in range(6):
        sigma = noise * gains(p, matrix, reads)

        def residuals(q):
            own = lengths(q, matrix, reads, sigma)
            return np.r_[own, q[6:] / PRIOR_RAD] if with_prior else own

        found = least_squares(residuals, p, jac="3-point", method="lm",
                              xtol=1e-15, ftol=1e-15, gtol=1e-15)
        p = found.x
    covariance = np.linalg.inv(found.jac.T @ found.jac)
    if not with_prior:
        turn = np.array([approx_fprime(p, lambda q, i=i: to_symmetric(q)[i], 1e-7) for i in range(9)])
        covariance = turn @ covariance @ turn.T
        p = to_symmetric(p)
    return p, np.sqrt(np.diag(covariance)), 2.0 * found.cost


def board(rng, directions, tilt_deg, offset_g, matrix_spread, noise_g):
    """Readings of a board with a general error matrix, laid down askew."""
    error = np.eye(3) + rng.normal(scale=matrix_spread, size=(3, 3))
    offset = rng.normal(scale=offset_g, size=3)
    ups = np.array(directions, dtype=float)
    ups += rng.normal(scale=np.radians(tilt_deg), size=ups.shape) * np.linalg.norm(ups, axis=1)[:, None]
    ups /= np.linalg.norm(ups, axis=1)[:, None]
    noise = noise_g * rng.uniform(0.5, 2.0, size=len(ups))
    reads = ups @ error.T + offset + rng.normal(size=ups.shape) * noise[:, None]
    return np.round(reads, 9), np.round(noise, 9)


def main():
    rng = np.random.default_rng(20240611)
    cases = [
        ("twelve", False, board(rng, FACES + EDGES, 4.0, 0.04, 0.015, 2e-4)),
        ("nine", False, board(rng, FACES + EDGES[:3], 3.0, 0.05, 0.02, 1e-4)),
        ("fourteen", False, board(rng, FACES + CORNERS, 5.0, 0.02, 0.01, 5e-4)),
        ("six", True, board(rng, FACES, 4.0, 0.04, 0.015, 2e-4)),
        ("eight", True, board(rng, FACES + EDGES[:2], 4.0, 0.04, 0.015, 2e-4)),
    ]
    with open(HERE / "calibration_poses.csv", "w", newline="") as poses, \
            open(HERE / "calibration_results.csv", "w", newline="") as results:
        pose_rows = csv.writer(poses, lineterminator="\n")
        result_rows = csv.writer(results, lineterminator="\n")
        pose_rows.writerow(["case", "x_g", "y_g", "z_g", "noise_g"])
        result_rows.writerow(["case", "number", "value", "standard"])
        for name, with_prior, (reads, noise) in cases:
            for read, sigma in zip(reads, noise):
                pose_rows.writerow([name, *(f"{v:.9f}" for v in read), f"{sigma:.9f}"])
            values, standards, chi_square = solve(reads, noise, with_prior)
            for number, value, standard in zip(NAMES, values, standards):
                result_rows.writerow([name, number, f"{value:.12e}", f"{standard:.9e}"])
            result_rows.writerow([name, "chi_square", f"{chi_square:.9e}", ""])


if __name__ == "__main__":
    main()
