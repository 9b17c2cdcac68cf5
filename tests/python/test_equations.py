"""The car's equations of motion against a second derivation from energies.

``independent`` holds that derivation; the first tests below check it against itself and against
conservation laws, the last ones check the library against it.
"""

from __future__ import annotations

import casadi as ca
import numpy as np
import pytest
from scipy.integrate import solve_ivp

import axletree as axt
from independent import car_equations, plausible, randomized
from independent.lagrange import lagrange
from independent.motion import EarthMotion
from independent.names import symbols

TOPOLOGIES = [pytest.param(False, id="independent"), pytest.param(True, id="solid")]
STATES = car_equations.STATES

# positions and attitudes, accelerations, spins, deflections, lags; twists, speeds, throttle of the
# driveline
GROUPS = [
    *(slice(a, b) for a, b in ((0, 10), (10, 20), (20, 24), (24, 32), (32, 41))),
    [41, 43, 44, 47],
    [42, 45, 46],
    [48],
]
INPUT_NAMES = (
    *("steering_wheel", "steering_wheel_rate", "drive_torque", "brake_torque", "friction"),
    *("throttle", "gear_ratio", "clutch", "engine_on"),
)
FLEXIBLE = "chassis.driveline.windup.flexible"


def values(numbers):
    return np.array(list(numbers.values()))


def inputs_of(steering_wheel=0.0, steering_wheel_rate=0.0, drive_torque=0.0, brake_torque=0.0):
    """Inputs on the reference surface, the engine not simulated."""
    return np.array(
        [
            steering_wheel,
            steering_wheel_rate,
            drive_torque,
            brake_torque,
            *car_equations.still()[4:],
        ]
    )


def random_cases(base, solid, count, seed):
    """``(numbers, states, inputs)`` as columns, a different car each."""
    rng = np.random.default_rng(seed)
    numbers, states, inputs = [], [], []
    for _ in range(count):
        car = randomized.perturbed(base, solid, rng)
        x, u = randomized.state_and_input(car, rng)
        numbers.append(values(car))
        states.append(x)
        inputs.append(u)
    return np.array(numbers).T, np.array(states).T, np.array(inputs).T


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_law_two_derivations_agree(solid):
    """Lagrange in earth coordinates and Euler-Poincare in body axes give the same accelerations."""
    base = plausible.numbers(solid)
    numbers, states, inputs = random_cases(base, solid, 200, 1)
    derivative = car_equations.derivative(list(base), solid)
    residual = car_equations.residual(list(base), solid)
    rates = np.array(derivative(states, inputs, numbers))
    left, loads = (np.array(a) for a in residual(states, rates, inputs, numbers))
    # residuals of speeds are forces and moments; they are small beside the largest of them
    at_rest = np.array(residual(states, 0 * rates, inputs, numbers)[0])
    assert np.all(np.isfinite(rates))
    assert np.all(np.abs(left).max(axis=0) < 1e-11 * np.abs(at_rest).max(axis=0))
    # some wheels stand, some are in the air
    assert 0.1 < np.mean(loads > 0) < 0.95


def twists(base, solid, numbers, states, inputs):
    """Torque of the half shafts; torque, elastic torque and bound of the held twists."""
    column, tree = symbols(list(base))
    car = car_equations._Car(tree, solid, EarthMotion())
    seen = [car.applied.through]
    for twist in (car.applied.split, car.applied.grip):
        seen += [twist.asked, twist.elastic, twist.bound]
    look = car_equations._of_state("look", car, column, [ca.vertcat(*seen)])
    return np.array(look(states, inputs, numbers))


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_random_cases_take_every_branch(solid):
    """Branches of differential, clutch, engine curve and link ends at their tilt limit."""
    base = plausible.numbers(solid)
    numbers, states, inputs = random_cases(base, solid, 1000, 7)
    number = dict(zip(base, numbers, strict=True))
    line = {
        path.removeprefix("chassis.driveline."): row
        for path, row in number.items()
        if "driveline" in path
    }
    through, split, split_elastic, split_bound, grip, _, grip_bound = twists(
        base, solid, numbers, states, inputs
    )

    def share(condition):
        return np.mean(np.asarray(condition, dtype=float))

    locked, opened = line["differential.preload"] > 1e6, line["differential.preload"] == 0
    held = ~locked & ~opened
    drawn = {
        "locked": locked,
        "open": opened & (line["differential.lock_drive"] == 0),
        "different ramps": line["differential.lock_drive"] != line["differential.lock_coast"],
        "drive": through > 0,
        "coast": through < 0,
        "differential holds": held & (np.abs(split) < split_bound),
        "slips to the left": held & (split > split_bound),
        "slips to the right": held & (split < -split_bound),
        "twist is forgotten": held & (np.abs(split_elastic) > split_bound),
        "engine on": inputs[8] == 1,
        "clutch open": inputs[7] == 0,
        "clutch holds": np.abs(grip) < grip_bound,
        "clutch slips, driving": grip > grip_bound,
        "clutch slips, braking": grip < -grip_bound,
        "engine turns backward": states[46] < 0,
        "idle": (states[46] > 0) & (states[46] < line["engine.idle"]),
        "below its peak": (states[46] > line["engine.idle"])
        & (states[46] < line["engine.peak_speed"]),
        "beyond its peak": (states[46] > line["engine.peak_speed"])
        & (states[46] < 0.97 * line["engine.limit"]),
        "limiter": (states[46] > 0.97 * line["engine.limit"]) & (states[46] < line["engine.limit"]),
        "beyond the limit": states[46] > line["engine.limit"],
        "flexible": number[FLEXIBLE] == 1,
        "rigid": number[FLEXIBLE] == 0,
    }
    for name, condition in drawn.items():
        assert 0.005 < share(condition) < 0.995, name
    # links: free, on the quartic, and on the straight line beyond it
    link = "front.side.0.binding.solid.0."
    tilt_squared = sum(number[f"{link}tilt_squared.{i}"] * states[6] ** (i + 2) for i in range(3))
    beyond = (tilt_squared / number[link + "limit"] ** 2 - 1) / 2
    for low, high in ((-np.inf, -0.15), (-0.15, 0.15), (0.15, np.inf)):
        assert share((beyond > low) & (beyond < high)) > 0.02


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_law_absolute_spins_follow_from_wheel_angles(solid):
    """Spins as speeds with gyroscopic couples equal the Lagrangian with the rotors' angles.

    The angle of each wheel, and of the rear housing, relative to its carrier is a coordinate here,
    fifteen in all; every axial torque acts on a rotor that the coordinates of its carrier take
    along. Compliance angles are zero, so that the axis on which the tire's moment is split is the
    axis on which the wheel turns.
    """
    base = plausible.numbers(solid)
    column, tree = symbols(list(base))
    motion = EarthMotion()
    car = car_equations._Car(tree, solid, motion)
    speeds = motion.speeds
    wheel_rates = ca.SX.sym("wheel_rates", 5)
    turnings = [motion.turning(body.orientation) for body in car.bodies]
    along = ca.vertcat(*[ca.dot(w.axis, turnings[w.carrier]) for w in car.rotors])

    # the carriers' part is the Routhian's at zero momenta
    mass, inertia = lagrange(motion, car.bodies, car.rotors, ca.SX.zeros(5))
    both = ca.vertcat(speeds, wheel_rates)
    wheels = ca.dot(car.inertias, (wheel_rates + along) ** 2) / 2
    momenta = ca.gradient(wheels, both)
    coordinates = ca.vertcat(motion.coordinates, motion.steer_rate)
    rates = ca.vertcat(motion.rates, motion.steer_acceleration)
    mass15 = ca.diagcat(mass, ca.SX.zeros(5, 5)) + ca.jacobian(momenta, both)
    inertia15 = ca.vertcat(inertia - ca.gradient(wheels, motion.q), ca.SX.zeros(5))
    inertia15 += ca.jtimes(momenta, coordinates, rates)
    rotor_rates = ca.vertcat(*car.applied.spin_rate, car.applied.drive_rate[1])
    axial = car.inertias * rotor_rates
    force15 = ca.vertcat(car.applied.generalized + ca.jacobian(along, speeds).T @ axial, axial)
    solved = ca.solve(mass15, force15 - inertia15)
    along_rate = ca.jtimes(along, ca.vertcat(coordinates, speeds), ca.vertcat(rates, solved[:10]))
    honest = [solved[:10], solved[10:] + along_rate]

    # the quasi-velocity form
    mass10, inertia10 = lagrange(motion, car.bodies, car.rotors, car.momenta)
    quasi = [ca.solve(mass10, car.applied.generalized - inertia10), rotor_rates]
    symbols_in = [motion.q, speeds, car.rest, car.input, column]
    expressions = (
        ca.substitute(
            honest, [wheel_rates], [ca.vertcat(car.inputs.spin, car.inputs.housing) - along]
        )
        + quasi
    )
    compare = ca.Function("compare", symbols_in, car.with_steer(expressions))

    numbers, states, inputs = random_cases(base, solid, 100, 2)
    numbers[list(base).index(FLEXIBLE)] = 1.0
    states[32:40] = 0
    states[20:24] *= 3
    coordinate_rates = np.random.default_rng(3).uniform(-2, 2, (10, 100))
    a, spin_a, b, spin_b = compare(states[:10], coordinate_rates, states[20:], inputs, numbers)
    assert np.abs(np.array(a - b)).max() < 1e-10 * np.abs(np.array(b)).max()
    assert np.abs(np.array(spin_a - spin_b)).max() < 1e-10 * np.abs(np.array(spin_b)).max()
    # without gyroscopic couples they would not be equal
    flat = lagrange(motion, car.bodies, car.rotors, ca.SX.zeros(5))[1]
    missing = ca.Function("missing", symbols_in, car.with_steer([flat - inertia10]))
    gone = np.array(missing(states[:10], coordinate_rates, states[20:], inputs, numbers))
    assert np.abs(gone).max() > 10.0


def _frictionless(base):
    """The car on ice, without damping and with a stiff column, which conserves energy."""
    out = dict(base)
    for path in out:
        if path.endswith(
            (
                "vertical_damping",
                "camber_thrust",
                "rolling_resistance",
                "air.drag",
                "steering.compliance",
            )
        ):
            out[path] = 0.0
        if path.endswith((".half_shafts.damping", ".windup.damping")):
            out[path] = 0.0
        if ".damper.low" in path or ".damper.high" in path or ".air.lift." in path:
            out[path] = 0.0
        if path.endswith(".softness"):
            out[path] = 1e15
    out[FLEXIBLE] = 1.0
    # a locked differential slips never
    out["chassis.driveline.differential.preload"] = 1e9
    return out


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_law_energy_is_conserved_without_damping(solid):
    """Without losses the energy departs by the error of the integration only.

    The integrator keeps the error of a step below `rtol` of each state, in the mean over the
    states. Energies are quadratic in the states, so that a step changes the energy by at most about
    2 `rtol` of it, and all steps together by 2 `rtol` times their number. The departure falls with
    the tolerance; a real loss does not.
    """
    base = plausible.numbers(solid)
    rng = np.random.default_rng(4)
    car = _frictionless(randomized.perturbed(base, solid, rng))
    x = np.zeros(STATES)
    x[2] = car["chassis.height"] + 0.05
    x[4:6] = 0.05, 0.15
    x[10:13] = 3, 2, 0
    x[13:16] = 1.5, -1.0, 1.0
    x[16:20] = 0.5, -0.5, 0.4, 0.6
    x[20:24] = 60, 80, -50, 90
    x[41:46] = 0.01, 2.0, 0.05, -0.05, 20.0
    # The steering wheel is turned off the straight and held.
    u = inputs_of(2.0)

    def departure(numbers, rtol):
        """Largest relative departure of the energy, its bound by the tolerance, loads, states."""
        derivative = car_equations.derivative(numbers, solid)
        energy = car_equations.energy(numbers, solid)
        run = solve_ivp(
            lambda _, y: np.array(derivative(y, u)).ravel(),
            (0, 0.3),
            x,
            "DOP853",
            rtol=rtol,
            atol=rtol / 100,
        )
        total, loads = (np.array(a) for a in energy(run.y, u))
        total = total.ravel()
        kinetic = total[0] - numbers["chassis.sprung.mass"] * 9.8 * numbers["chassis.height"]
        off = np.abs(total - total[0]).max() / abs(kinetic)
        return off, 2 * rtol * run.t.size, loads, run.y

    coarse, coarse_bound, _, _ = departure(car, 1e-6)
    fine, fine_bound, loads, states = departure(car, 1e-11)
    assert coarse < coarse_bound
    assert fine < fine_bound
    # It falls with the tolerance, here by five decades. Corners of the equations, where wheels
    # land, scatter the error of single runs by up to a decade: three decades are left.
    assert fine < 1e-3 * coarse
    # The motion is large: wheels leave the road and land, travels, shafts and housing swing.
    assert loads.min() == 0
    assert loads.max() > 8000
    assert np.ptp(states[6:9], axis=1).min() > 0.04
    assert np.ptp(states[[41, 43, 44]], axis=1).min() > 0.01
    # The loss of one damper exceeds the bound and does not fall with the tolerance.
    car["front.side.0.strut.damper.low.0"] = 1000.0
    lost, lost_bound, _, _ = departure(car, 1e-7)
    assert lost > 2 * lost_bound
    assert departure(car, 1e-6)[0] == pytest.approx(lost, rel=0.2)


def _unyielding(numbers, states, base):
    """Removes compliance with a lag, of links and column, which moves wheels without speeds."""
    for i, path in enumerate(base):
        if (
            ".compliance.toe_" in path
            or ".compliance.tilt_" in path
            or path.endswith("steering.compliance")
        ):
            numbers[i] = 0.0
    states[32:41] = 0.0


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_law_energy_and_losses_close_the_books(solid):
    """What engine, driver's torque, road and air give is stored or lost, at every state.

    The rate of the stored energy, by differentiating it along the motion, equals the power of
    engine and drive torque at their speeds plus that of the air, less what tires, dampers, brakes,
    half shafts, differential, wind-up, clutch and gears lose. What tires, shafts, differential,
    wind-up and clutch lose comes from laws of its own, not from the forces that appear in the
    equations.
    """
    base = plausible.numbers(solid)
    numbers, states, inputs = random_cases(base, solid, 300, 8)
    _unyielding(numbers, states, base)
    # a hand that turns the wheel does work on the steered masses
    inputs[1] = 0
    derivative = car_equations.derivative(list(base), solid)
    total = car_equations.energy(list(base), solid)
    x, dx, u, n = (
        ca.SX.sym(name, a.shape[0])
        for name, a in zip("xdun", (states, states, inputs, numbers), strict=True)
    )
    along = ca.Function("along", [x, dx, u, n], [ca.jtimes(total(x, u, n)[0], x, dx)])
    rate = np.array(along(states, derivative(states, inputs, numbers), inputs, numbers)).ravel()

    powers, power_names, loss_names = car_equations.powers(list(base), solid)
    given, lost = (np.array(a) for a in powers(states, inputs, numbers))
    given = dict(zip(power_names, given, strict=True))
    lost = dict(zip(loss_names, lost, strict=True))
    books = {name: given[name] for name in ("engine", "drive", "air", "dampers", "brakes", "gears")}
    books |= {name: -lost[name] for name in ("tires", "shafts", "differential", "windup", "clutch")}
    balance = sum(books.values()) - rate
    scale = sum(np.abs(power) for power in books.values()) + np.abs(rate)
    assert np.abs(balance / scale).max() < 1e-11

    # every entry is needed
    for name, power in books.items():
        assert np.abs(power / scale).max() > 1e-4, name
    # losses are losses; of gears while they turn forward, of friction while the twist is one that
    # it holds
    for name in ("dampers", "brakes"):
        assert given[name].max() <= 0
    assert given["gears"][states[45] > 0].max() <= 0
    assert lost["shafts"].min() >= 0
    assert lost["windup"].min() >= 0
    _, _, split, split_bound, _, grip, grip_bound = twists(base, solid, numbers, states, inputs)
    for name, elastic, bound in (
        ("differential", split, split_bound),
        ("clutch", grip, grip_bound),
    ):
        within = np.abs(elastic) <= bound
        assert 0.1 < within.mean() < 0.95
        assert lost[name][within].min() >= -1e-12 * np.abs(lost[name]).max()


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_law_mirror_image_of_car_and_motion(solid):
    base = plausible.numbers(solid)
    rng = np.random.default_rng(5)
    derivative = car_equations.derivative(list(base), solid)
    for _ in range(50):
        car = randomized.perturbed(base, solid, rng)
        other = randomized.mirrored(car, solid)
        x, u = randomized.state_and_input(car, rng)
        mirror_u = u * np.array([-1, -1, *[1] * 7])
        here = np.array(derivative(x, u, values(car))).ravel()
        there = np.array(
            derivative(randomized.mirrored_state(x, solid), mirror_u, values(other))
        ).ravel()
        seen = randomized.mirrored_state(here, solid)
        for group in GROUPS:
            assert np.abs(seen[group] - there[group]).max() <= 1e-9 * np.abs(here[group]).max()
        # the car itself is not symmetric
        same = np.array(
            derivative(randomized.mirrored_state(x, solid), mirror_u, values(car))
        ).ravel()
        assert np.abs(same - there).max() > 1e-3


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_law_car_at_rest_stays(solid):
    """At rest the loads sum to the weight, and only the tires' height by camber is unbalanced."""
    numbers = plausible.numbers(solid)
    derivative = car_equations.derivative(numbers, solid)
    x = np.zeros(STATES)
    x[2] = numbers["chassis.height"]
    u = inputs_of()
    _, loads = car_equations.energy(numbers, solid)(x, u)
    assert float(ca.sum1(loads)) == pytest.approx(1320 * 9.80665, rel=3e-3)
    assert np.abs(np.array(derivative(x, u))).max() < 0.02
    # a little more weight on one corner is seen
    x[5] = 0.01
    assert np.abs(np.array(derivative(x, u))).max() > 0.5


@pytest.mark.parametrize("solid", TOPOLOGIES)
def test_random_cases_reach_every_number(solid):
    """Every number of the car acts on the derivative somewhere in the random cases."""
    base = plausible.numbers(solid)
    numbers, states, inputs = random_cases(base, solid, 80, 6)
    derivative = car_equations.derivative(list(base), solid)
    rates = np.array(derivative(states, inputs, numbers))

    def acts(i, cases):
        changed = numbers[:, cases].copy()
        changed[i] *= 1.01
        there = np.array(derivative(states[:, cases], inputs[:, cases], changed))
        return not np.array_equal(rates[:, cases], there)

    # most numbers are seen in the first cases already
    idle = [
        path
        for i, path in enumerate(base)
        if not any(acts(i, cases) for cases in (slice(0, 8), slice(8, 80)))
    ]
    # limits of power and torque belong to the driver, the height of O is where a car is put down
    expected = {"chassis.driveline.peak_power", "chassis.driveline.peak_torque", "chassis.height"}
    # a differential on the body puts no propeller shaft's couple on an axle
    if not solid:
        expected |= {"chassis.driveline.propshaft_sense"}
        expected |= {
            f"rear.side.{i}.steering_{part}.{k}"
            for i in (0, 1)
            for part in ("axis", "arm")
            for k in range(3)
        }
    assert set(idle) == expected


@pytest.mark.parametrize(
    ("car", "solid"), [("bramble-independent", False), ("bramble-solid", True)]
)
def test_val_library_agrees(car, solid):
    """The library's rates of all 49 states agree, for a thousand random cars and states.

    Source: the independent derivation in ``independent``. The tolerance 1e-9 of the largest rate
    of a group allows for the order of summation only.
    """
    model = axt.Car.load(car).assemble()
    assert model.solid_rear == solid
    base = model.numbers()
    numbers, states, inputs = random_cases(base, solid, 1000, 7)
    derivative = car_equations.derivative(list(base), solid)
    ours = np.array(derivative(states, inputs, numbers))
    for i in range(1000):
        other = model.with_numbers(dict(zip(base, numbers[:, i], strict=True)))
        theirs = other.derivative(states[:, i], **dict(zip(INPUT_NAMES, inputs[:, i], strict=True)))
        for group in GROUPS:
            largest = np.abs(ours[group, i]).max()
            assert np.abs(theirs[group] - ours[group, i]).max() <= 1e-9 * largest + 1e-12, (
                i,
                group,
            )
