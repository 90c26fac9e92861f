"""What the boards on a car read, and the most probable car behind it.

Written from the geometry alone: hub, steering axis and body are rotations of
scipy, the steering axis is given by two turns in a row, the spindle by two
angles about a direction near it, every attitude by one rotation vector.
Nothing is shared with the core but the statement of the problem, which is in
the documents of its modules `chip` and `joint`.

Frame: ISO 8855, x forward, y left, z up from the floor. Units: g, rad, m.
"""

import numpy as np
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

LEAST_NOISE = 1e-5  # nothing is trusted further, g and rad
GRAVITY = 2e-3      # one sigma of local over standard gravity
WIDE_TANGENT = 10.0
IRREGULAR = 0.3     # share of the unwatched body's motion without a pattern
LEVER_M = 0.3
TWENTY = np.radians(20.0)
SIGN = {"left": 1.0, "right": -1.0}
UP = np.array([0.0, 0.0, 1.0])
FREE = None


def unit(v):
    v = np.asarray(v, dtype=float)
    return v / np.linalg.norm(v)


def up_of_floor(roll, pitch):
    """Against gravity, in the axes of a floor that is rolled, then pitched."""
    return (Rotation.from_euler("Y", pitch) * Rotation.from_euler("X", roll)).inv().apply(UP)


def axis_of(two_turns):
    """Steering axis, up: the vertical leant to the left, then forward."""
    left, forward = two_turns
    return Rotation.from_euler("Y", forward).apply(Rotation.from_euler("X", -left).apply(UP))


def turns_of(axis):
    return np.array([np.arcsin(axis[1]), np.arctan2(axis[0], axis[2])])


def heading(v):
    return np.arctan2(v[1], v[0])


def body_rotation(roll, pitch):
    return Rotation.from_rotvec([roll, pitch, 0.0])


def unwatched_rotation(at_twenty, irregular, steer):
    roll = at_twenty[0] * np.sin(steer) / np.sin(TWENTY)
    pitch = at_twenty[1] * (1.0 - np.cos(steer)) / (1.0 - np.cos(TWENTY))
    return body_rotation(irregular[0] + roll, irregular[1] + pitch)


def chip_read(chip, up):
    """Reading of a true force that is `up` in units of local gravity."""
    return (np.eye(3) + chip["accel"].reshape(3, 3)) @ up * (1.0 + chip["gravity"][0]) + chip["offset"]


def chip_undone(chip, read):
    force = np.linalg.solve(np.eye(3) + chip["accel"].reshape(3, 3), np.asarray(read) - chip["offset"])
    return force / (1.0 + chip["gravity"][0])


def chip_turned(chip, turn):
    return (np.eye(3) + chip["gyro"].reshape(3, 3)) @ turn


class Unknowns:
    """Blocks of numbers; each has a size and, unless it is free, a prior of that width."""

    def __init__(self):
        self.blocks, self.count = [], 0

    def add(self, key, start, prior, size=1e-2, centre=0.0):
        """Prior FREE: no prior; zero width: a constant."""
        start = np.atleast_1d(np.asarray(start, dtype=float))
        widths = np.zeros(len(start)) if prior is FREE else np.broadcast_to(prior, start.shape).astype(float)
        centre = np.broadcast_to(centre, start.shape).astype(float)
        moves = np.full(len(start), True) if prior is FREE else widths > 0.0
        sizes = np.where(widths > 0.0, widths, size)
        span = slice(self.count, self.count + int(moves.sum()))
        self.count = span.stop
        self.blocks.append((key, np.where(moves, start, centre), centre, widths, sizes, moves, span))

    def start(self):
        return np.concatenate([(start / sizes)[moves] for _, start, _, _, sizes, moves, _ in self.blocks])

    def named(self, x):
        values = {}
        for key, start, _, _, sizes, moves, span in self.blocks:
            value = start.copy()
            value[moves] = x[span] * sizes[moves]
            values[key] = value
        return values

    def priors(self, values):
        rows = []
        for key, _, centre, widths, _, _, _ in self.blocks:
            has = widths > 0.0
            rows.extend((values[key] - centre)[has] / np.maximum(widths[has], LEAST_NOISE))
        return rows


def add_chip(unknowns, where, figures, gyro):
    matrix = lambda scale, cross: np.where(np.eye(3, dtype=bool), scale, cross).ravel()
    settled = figures["settled"]
    # A settled offset has priors along and across a direction of its own: see `settled_rows`.
    offset = FREE if settled else figures["accel_offset_g"]
    unknowns.add((where, "offset"), np.zeros(3), offset, size=max(figures["accel_offset_g"], 1e-5))
    unknowns.add((where, "accel"), np.zeros(9), matrix(figures["accel_scale"], figures["accel_cross_rad"]))
    unknowns.add((where, "gyro"), np.zeros(9),
                 matrix(figures["gyro_scale"], figures["gyro_cross_rad"]) if gyro else 0.0)
    unknowns.add((where, "gravity"), 0.0, GRAVITY)


def chip_of(values, where):
    return {part: values[where, part] for part in ["offset", "accel", "gyro", "gravity"]}


def settled_rows(figures, chip):
    settled = figures["settled"]
    if not settled:
        return []
    along = unit(settled["along"])
    left = along @ chip_undone(chip, settled["felt_g"])
    across = chip["offset"] - along * (along @ chip["offset"])
    return [left / max(settled["offset_g"], LEAST_NOISE), *(across / figures["accel_offset_g"])]


class Problem:
    """A session's evidence, with a start near the solution."""

    def __init__(self, session, start):
        self.session, self.start = session, start
        self.unknowns = unknowns = Unknowns()
        for direction in ["roll", "pitch"]:
            value, standard = session["floor"][direction]
            unknowns.add(("floor", direction), value, standard, centre=value)
        body = session["body"]
        unwatched = np.array(session["unwatched"])
        unknowns.add(("body", "at_twenty"), [0.0, 0.0], 0.0 if body else unwatched)
        for rest in range(session["rests"]):
            prior = 0.0 if rest == 0 else FREE if body else IRREGULAR * np.linalg.norm(unwatched)
            unknowns.add(("body", rest), [0.0, 0.0], prior)
        for index, (wheel, near) in enumerate(zip(session["wheels"], start["wheels"])):
            unknowns.add((index, "attitude"), np.zeros(3), FREE)
            unknowns.add((index, "spindle"), np.zeros(2), FREE)
            unknowns.add((index, "axis"), turns_of(near["axis"]), FREE)
            unknowns.add((index, "steer"), near["steer"][1:], FREE)
            unknowns.add((index, "lean"), np.zeros(len(wheel["run_out"])), FREE)
            swept = any(rest["per_metre_g"] for rest in wheel["rests"])
            unknowns.add((index, "lever"), np.zeros(3), LEVER_M if swept else 0.0)
            add_chip(unknowns, index, wheel["chip"], bool(wheel["turns"]))
        if body:
            unknowns.add(("body", "attitude"), np.zeros(3), FREE)
            if body["jacked"]:
                for side in ["left", "right"]:
                    unknowns.add(("body", side), start["body"][side], FREE)
            add_chip(unknowns, "body", body["chip"], False)

    def spindle(self, values, index):
        frame, (a, b) = self.start["wheels"][index]["spindle_frame"], values[index, "spindle"]
        return frame @ [np.sin(a), np.cos(a) * np.sin(b), np.cos(a) * np.cos(b)]

    def attitude(self, values, index):
        return Rotation.from_rotvec(values[index, "attitude"]) * self.start["wheels"][index]["attitude"]

    def steer(self, values, index, place):
        return 0.0 if place == 0 else values[index, "steer"][place - 1]

    def rack(self, values, rest):
        """The body leans with the mean of the wheels that were seen."""
        steers = [self.steer(values, index, place)
                  for index, wheel in enumerate(self.session["wheels"])
                  for place, seen in enumerate(wheel["rests"]) if seen["rest"] == rest]
        return np.mean(steers) if steers else 0.0

    def hub(self, values, index, place):
        """Board to floor at one of the wheel's rests."""
        steer = self.steer(values, index, place)
        rest = self.session["wheels"][index]["rests"][place]["rest"]
        body = unwatched_rotation(values["body", "at_twenty"], values["body", rest], self.rack(values, rest))
        about = Rotation.from_rotvec(steer * axis_of(values[index, "axis"]))
        return body * about * self.attitude(values, index)

    def wheel_rows(self, values, index, up):
        wheel, rows = self.session["wheels"][index], []
        chip, spindle = chip_of(values, index), self.spindle(values, index)
        say = lambda misfit, sigma: rows.extend(np.atleast_1d(misfit) / max(sigma, LEAST_NOISE))
        hubs = [self.hub(values, index, place) for place in range(len(wheel["rests"]))]
        headings = [heading(hub.apply(spindle)) for hub in hubs]
        for rest, hub, now in zip(wheel["rests"], hubs, headings):
            felt = hub.inv().apply(up)
            if rest["per_metre_g"]:
                felt = felt + np.reshape(rest["per_metre_g"], (3, 3)) @ values[index, "lever"]
            read = chip_read(chip, felt)
            if wheel["chip"]["angles_only"]:
                across = np.linalg.svd(np.atleast_2d(rest["accel_g"]))[2][1:]
                say(across @ read / np.linalg.norm(read), rest["noise_g"])
            else:
                say(read - rest["accel_g"], rest["noise_g"])
            if rest["plate"]:
                turned = np.angle(np.exp(1j * (now - headings[0])))
                say(turned - rest["plate"][0], rest["plate"][1])
        for turn in wheel["turns"]:
            between = (hubs[turn["from"]].inv() * hubs[turn["to"]]).as_rotvec()
            say(chip_turned(chip, between) - turn["turn_rad"], turn["noise_rad"])
        for group, lean in zip(wheel["run_out"], values[index, "lean"]):
            for position in group:
                felt = chip_undone(chip, position["accel_g"])
                length = np.linalg.norm(felt) if wheel["chip"]["angles_only"] else 1.0
                say(spindle @ felt / length - lean, position["noise_g"])
                if position["still"] and not wheel["chip"]["angles_only"]:
                    say(np.linalg.norm(felt) - 1.0, position["noise_g"])
        if wheel["declared"]:
            declared = wheel["declared"]
            outboard = unit(declared["outboard"])
            ahead = unit(np.cross(outboard, wheel["rests"][0]["accel_g"]))
            say(spindle @ ahead, declared["heading_rad"])
            say(spindle @ np.cross(ahead, outboard), declared["lean_rad"])
        x, y, _ = hubs[0].apply(spindle)
        say(np.arctan2(x, SIGN[wheel["side"]] * y) - wheel["toe"][0], wheel["toe"][1])
        return rows

    def body_rows(self, values, up):
        body, rows = self.session["body"], []
        chip = chip_of(values, "body")
        attitude = Rotation.from_rotvec(values["body", "attitude"]) * self.start["body"]["attitude"]
        say = lambda misfit, sigma: rows.extend(np.atleast_1d(misfit) / max(sigma, LEAST_NOISE))
        see = lambda turn, seen: say(
            chip_read(chip, (turn * attitude).inv().apply(up)) - seen["accel_g"], seen["noise_g"])
        for rest in body["rests"]:
            see(body_rotation(*values["body", rest["rest"]]), rest)
        if body["jacked"]:
            for side in ["left", "right"]:
                see(body_rotation(*values["body", side]), body["jacked"][side])
            pitches = [values["body", side][1] for side in ["left", "right"]]
            say(pitches[0] - pitches[1], body["jacked"]["pitch_difference_rad"])
        if body["forward"]:
            say(heading(attitude.apply(unit(body["forward"]["direction"]))), body["forward"]["standard_rad"])
        return rows

    def measured_rows(self, x):
        values = self.unknowns.named(x)
        up = up_of_floor(values["floor", "roll"][0], values["floor", "pitch"][0])
        rows = []
        for index in range(len(self.session["wheels"])):
            rows += self.wheel_rows(values, index, up)
        return np.array(rows + self.body_rows(values, up) if self.session["body"] else rows)

    def prior_rows(self, x):
        values = self.unknowns.named(x)
        rows = self.unknowns.priors(values)
        for index, wheel in enumerate(self.session["wheels"]):
            axis = axis_of(values[index, "axis"])
            rows += [axis[0] / axis[2] / WIDE_TANGENT, axis[1] / axis[2] / WIDE_TANGENT]
            rows += settled_rows(wheel["chip"], chip_of(values, index))
        if self.session["body"]:
            rows += settled_rows(self.session["body"]["chip"], chip_of(values, "body"))
        return np.array(rows)

    def angles(self, x):
        """Camber, caster, steering-axis inclination and included angle of each wheel."""
        values, angles = self.unknowns.named(x), []
        for index, wheel in enumerate(self.session["wheels"]):
            spindle = self.attitude(values, index).apply(self.spindle(values, index))
            axis = axis_of(values[index, "axis"])
            camber = -np.arcsin(spindle[2])
            inclination = np.arctan2(-SIGN[wheel["side"]] * axis[1], axis[2])
            angles += [camber, np.arctan2(-axis[0], axis[2]), inclination, inclination + camber]
        return np.array(angles)

    def solve(self, spread=0.0, rng=None):
        """Most probable angles, their covariance and the sum of squares there."""
        start = self.unknowns.start()
        if spread:
            start = start + rng.normal(scale=spread, size=len(start))
        rows = lambda x: np.concatenate([self.measured_rows(x), self.prior_rows(x)])
        found = least_squares(rows, start, jac="3-point", method="trf", x_scale="jac",
                              xtol=1e-15, ftol=1e-15, gtol=1e-12, max_nfev=200)
        return found.x, self.angles(found.x), self.covariance(found.jac, found.x), 2.0 * found.cost

    def covariance(self, jacobian, x):
        # By orthogonal triangles: the normal matrix would square what is badly known.
        triangle = np.linalg.qr(jacobian, mode="r")
        share = np.linalg.solve(triangle.T, slopes(self.angles, x).T)
        return share.T @ share

    def cramer_rao(self, x):
        """Bound on the standard deviation of any unbiased estimate, from what was measured alone."""
        return np.sqrt(np.diag(self.covariance(slopes(self.measured_rows, x), x)))


def slopes(function, x, step=1e-5):
    columns = []
    for i in range(len(x)):
        nudge = np.zeros(len(x))
        nudge[i] = step
        columns.append((function(x + nudge) - function(x - nudge)) / (2.0 * step))
    return np.array(columns).T
