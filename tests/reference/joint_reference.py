"""Sessions of made cars and their most probable angles by scipy.optimize.least_squares.

Writes joint_cases.json beside itself; the tests compare the core's own solution
with it: angles, their covariance, the sum of squares, and where nothing is
wrong but noise the bound of Cramér and Rao. Run anew only when the cases change:

    python3 -m venv venv && venv/bin/pip install scipy==1.17.1
    venv/bin/python joint_reference.py

The model is in joint_model.py.
"""

import json
import pathlib

import numpy as np
import scipy
from scipy.spatial.transform import Rotation

from joint_model import (SIGN, Problem, axis_of, body_rotation, chip_read, chip_turned, heading, turns_of, unit,
                         unwatched_rotation, up_of_floor)

HERE = pathlib.Path(__file__).resolve().parent
DEG = np.pi / 180.0
SEED = 20261125

CHEAP = dict(accel_offset_g=1e-3, accel_scale=1e-3, accel_cross_rad=0.5e-3, gyro_scale=3e-3, gyro_cross_rad=1e-3,
             angles_only=False, settled=None)
GOOD = dict(accel_offset_g=0.3e-3, accel_scale=0.3e-3, accel_cross_rad=0.2e-3, gyro_scale=1e-3, gyro_cross_rad=0.5e-3,
            angles_only=False, settled=None)
RAW = dict(CHEAP, accel_offset_g=5e-2, accel_scale=3e-2, accel_cross_rad=2e-2, gyro_scale=3e-2, gyro_cross_rad=2e-2)
NOISE = dict(accel_offset_g=0.0, accel_scale=0.0, accel_cross_rad=0.0, gyro_scale=0.0, gyro_cross_rad=0.0,
             angles_only=False, settled=None)
NOISES = {"cheap": (1.3e-4, 1.5e-4), "good": (2.5e-5, 1e-4)}

STOPS = [0.0, 19.0, -21.0, 0.0]
SEVEN = [0.0, 10.0, 20.0, 30.0, -10.0, -20.0, -30.0]
CONE = [0.0, 12.0, 22.0, -11.0, -20.0, 0.0]


def drawn_chip(rng, figures):
    matrix = lambda scale, cross: rng.normal(size=9) * np.where(np.eye(3, dtype=bool), scale, cross).ravel()
    return dict(offset=rng.normal(size=3) * figures["accel_offset_g"],
                accel=matrix(figures["accel_scale"], figures["accel_cross_rad"]),
                gyro=matrix(figures["gyro_scale"], figures["gyro_cross_rad"]),
                gravity=np.array([rng.uniform(-2e-3, 2e-3)]))


def made_wheel(rng, side, figures, noises, steers_deg, up, bodies, gyro, plates, declared, turned_over):
    """A wheel's evidence, and its true geometry as the start."""
    s, (accel_noise, gyro_noise) = SIGN[side], noises
    caster, sai, camber, toe = rng.uniform([-2, 4, -4, -1], [12, 18, 3, 1]) * DEG
    axis = unit([-np.tan(caster), -s * np.tan(sai), 1.0])
    spindle_floor = np.array([np.cos(camber) * np.sin(toe), s * np.cos(camber) * np.cos(toe), -np.sin(camber)])
    attitude = Rotation.random(rng=rng)
    spindle = attitude.inv().apply(spindle_floor)
    chip = drawn_chip(rng, figures)
    steers = [deg * DEG * (1.0 + 0.03 * s * np.sign(deg)) for deg in steers_deg]
    hubs = [body * Rotation.from_rotvec(steer * axis) * attitude for body, steer in zip(bodies, steers)]
    angles_only = figures["angles_only"]

    def seen(up_board):
        read = chip_read(chip, up_board) + rng.normal(size=3) * accel_noise
        return read / np.linalg.norm(read) if angles_only else read

    rests = []
    for place, hub in enumerate(hubs):
        plate = None
        if plates and place > 0:
            turned = heading(hub.apply(spindle)) - heading(hubs[0].apply(spindle))
            plate = [float(np.angle(np.exp(1j * turned)) + rng.normal() * 0.25 * DEG), 0.25 * DEG]
        rests.append(dict(rest=place, accel_g=list(seen(hub.inv().apply(up))), noise_g=accel_noise, plate=plate,
                          per_metre_g=None))
    turns = []
    for place in range(1, len(hubs)) if gyro else []:
        between = (hubs[place - 1].inv() * hubs[place]).as_rotvec()
        turns.append({"from": place - 1, "to": place, "noise_rad": gyro_noise,
                      "turn_rad": list(chip_turned(chip, between) + rng.normal(size=3) * gyro_noise)})
    first = unit(np.cross(spindle, rng.normal(size=3)))
    second = np.cross(spindle, first)
    frame = np.column_stack([first, second, spindle])
    run_out = []
    if not declared:
        lean, group = rng.uniform(-0.1, 0.1), []
        for quarter in range(4):
            # Rolled forward the wheel turns about its left; gravity goes the other way round in the board.
            angle = -s * (quarter * 90.0 + rng.uniform(-4.0, 4.0)) * DEG
            around = np.cos(angle) * first + np.sin(angle) * second
            reading = seen(lean * spindle + np.sqrt(1.0 - lean**2) * around)
            group.append(dict(accel_g=list(reading), noise_g=1.3 * accel_noise, still=True))
        run_out.append(group)
    figures = dict(figures)
    if turned_over:
        felt = 0.3 * unit(np.cross(spindle, rng.normal(size=3)))
        figures["settled"] = dict(along=list(spindle), felt_g=list(felt), offset_g=2e-4)
    outboard = spindle + 0.01 * rng.normal(size=3)
    evidence = dict(side=side, chip=figures, rests=rests, turns=turns, run_out=run_out,
                    declared=dict(outboard=list(unit(outboard)), heading_rad=0.02, lean_rad=0.01) if declared else None,
                    toe=[float(toe + rng.normal() * 0.03 * DEG), 0.03 * DEG])
    start = dict(axis=axis, steer=steers, spindle_frame=frame, attitude=attitude)
    return evidence, start


def made_body(rng, figures, noises, up, motions, jacked):
    attitude, chip = Rotation.random(rng=rng), drawn_chip(rng, figures)
    see = lambda roll, pitch: dict(noise_g=noises[0], accel_g=list(
        chip_read(chip, (body_rotation(roll, pitch) * attitude).inv().apply(up)) + rng.normal(size=3) * noises[0]))
    ups = {side: [SIGN[side] * 1.2 * DEG, (-0.32 + 0.05 * rng.normal()) * DEG] for side in ["left", "right"]}
    forward = attitude.inv().apply([np.cos(0.01), np.sin(0.01), 0.0])
    evidence = dict(chip=figures, rests=[dict(rest=rest, plate=None, per_metre_g=None, **see(*motion))
                                         for rest, motion in enumerate(motions)],
                    jacked=dict(left=dict(still=True, **see(*ups["left"])), right=dict(still=True, **see(*ups["right"])),
                                pitch_difference_rad=0.07 * DEG) if jacked else None,
                    forward=None if jacked else dict(direction=list(forward), standard_rad=0.02))
    return evidence, dict(attitude=attitude, **ups)


def made_session(rng, sides, figures, noises, steers_deg, gyro=True, plates=False, declared=False, turned_over=False,
                 body=None, unwatched_deg=(0.0, 0.0)):
    roll, pitch = rng.uniform(-2.0, 2.0, size=2) * DEG
    up = up_of_floor(roll, pitch)
    floor = 0.0 if figures is NOISE else 0.02 * DEG  # the bound knows no prior of the floor
    leant = body or any(unwatched_deg)
    at_twenty = rng.uniform([-0.4, 0.0], [0.4, 0.15]) * DEG if leant else np.zeros(2)
    racks = np.array(steers_deg) * DEG
    bodies = [unwatched_rotation(at_twenty, np.zeros(2), rack) for rack in racks]
    motions = [body_turn.as_rotvec()[:2] for body_turn in bodies]
    made = [made_wheel(rng, side, figures, noises, steers_deg, up, bodies, gyro, plates, declared, turned_over)
            for side in sides]
    session = dict(rests=len(steers_deg), unwatched=[deg * DEG for deg in unwatched_deg],
                   floor=dict(roll=[float(roll + rng.normal() * floor), floor],
                              pitch=[float(pitch + rng.normal() * floor), floor]),
                   wheels=[wheel for wheel, _ in made], body=None)
    start = dict(wheels=[near for _, near in made])
    if body:
        session["body"], start["body"] = made_body(rng, figures, noises, up, motions, body == "jacked")
    return session, start


def turned_again(rng, made):
    """The same with a second turn on the bearing, five times as noisy, that did not rest."""
    session, start = made
    for wheel in session["wheels"]:
        noise = 5.0 * wheel["run_out"][0][0]["noise_g"]
        wheel["run_out"].append([dict(accel_g=list(np.array(position["accel_g"]) + rng.normal(size=3) * noise),
                                      noise_g=noise, still=False) for position in wheel["run_out"][0]])
    return session, start


def in_motion(rng, made):
    """The same with every other rest a moment of a sweep, the board off the steering axis."""
    session, start = made
    for wheel in session["wheels"]:
        lever_m = rng.normal(size=3) * 0.15
        for rest in wheel["rests"][1::2]:
            per_metre = rng.normal(size=9) * 0.02
            rest["per_metre_g"] = list(per_metre)
            rest["accel_g"] = list(np.array(rest["accel_g"]) + per_metre.reshape(3, 3) @ lever_m)
    return session, start


def cases(rng):
    cheap, good = NOISES["cheap"], NOISES["good"]
    angles = dict(CHEAP, angles_only=True)
    yield "cheap, plates and gyro", made_session(rng, ["left"], CHEAP, cheap, STOPS, plates=True)
    yield "good, gyro alone", made_session(rng, ["right"], GOOD, good, STOPS)
    yield "no gyro, plates", made_session(rng, ["left"], GOOD, good, STOPS, gyro=False, plates=True)
    yield "no gyro, no plates", made_session(rng, ["right"], GOOD, good, CONE, gyro=False)
    yield "angles only, plates", made_session(rng, ["left"], angles, cheap, STOPS, gyro=False, plates=True)
    yield "declared face", made_session(rng, ["right"], CHEAP, cheap, STOPS, plates=True, declared=True)
    yield "turned end for end", made_session(rng, ["left"], CHEAP, cheap, STOPS, plates=True, turned_over=True)
    yield "two wheels, nobody watched", made_session(rng, ["left", "right"], GOOD, good, STOPS,
                                                     unwatched_deg=(0.23, 0.09))
    yield "two wheels, body jacked", made_session(rng, ["left", "right"], CHEAP, cheap, STOPS, plates=True, body="jacked")
    yield "two wheels, body declared", made_session(rng, ["right", "left"], GOOD, good, STOPS, body="declared")
    yield "noise, gyro", made_session(rng, ["left"], NOISE, good, STOPS)
    yield "noise, plates", made_session(rng, ["right"], NOISE, cheap, STOPS, gyro=False, plates=True)
    both = ["left", "right"]
    yield "raw, plates and gyro", made_session(rng, ["right"], RAW, cheap, STOPS, plates=True)
    yield "raw, turned end for end", made_session(rng, ["left"], RAW, cheap, STOPS, plates=True, turned_over=True)
    yield "turned on the bearing twice", turned_again(rng, made_session(rng, ["right"], GOOD, good, STOPS))
    yield "moments of a sweep", in_motion(rng, made_session(rng, ["left"], GOOD, good, SEVEN, plates=True))
    yield "cone and body board", made_session(rng, both, GOOD, good, SEVEN, gyro=False, body="jacked")
    yield "noise, two wheels, body board", made_session(rng, both, NOISE, good, STOPS, body="jacked")


def main():
    written = []
    for number, (name, (session, start)) in enumerate(cases(np.random.default_rng(SEED))):
        problem = Problem(session, start)
        x, angles, covariance, cost = problem.solve()
        # From another start the same: no side valley.
        again = problem.solve(spread=0.3, rng=np.random.default_rng(number))[1]
        assert np.abs(again - angles).max() < 1e-7, (name, again - angles)
        bound = list(problem.cramer_rao(x)) if name.startswith("noise") else None
        print(f"{name}: {np.degrees(angles).round(3)} ± {np.degrees(np.sqrt(np.diag(covariance))).round(4)}, cost {cost:.3f}")
        written.append(dict(name=name, session=session, angles_rad=list(angles), covariance_rad2=covariance.tolist(),
                            sum_of_squares=cost, bound_rad=bound))
    text = json.dumps(dict(made_by=f"joint_reference.py, scipy {scipy.__version__}", seed=SEED, cases=written), indent=1)
    (HERE / "joint_cases.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
