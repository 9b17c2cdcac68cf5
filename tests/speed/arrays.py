"""(a) The car's equations in NumPy, for SciPy's ``solve_ivp``.

Everything that four wheels do alike is one array operation; vectors are arrays of three rows with a
column for each wheel. What does not change during a run is prepared once in :class:`ArrayCar`.
"""

from __future__ import annotations

import numpy as np

from .packed import skew

STATES, INPUTS = 49, 9
_NEXT, _LAST = np.array([1, 2, 0]), np.array([2, 0, 1])
_Y = np.array([[0.0], [1.0], [0.0]])
_FRONT = np.array([1.0, 1.0, 0.0, 0.0])
_SENSE = np.array([1.0, -1.0, 0.0, 0.0])


def cross(a, b):
    """Cross product of columns."""
    return a.take(_NEXT, 0) * b.take(_LAST, 0) - a.take(_LAST, 0) * b.take(_NEXT, 0)


def dot(a, b):
    """Dot product of columns."""
    return (a * b).sum(axis=0)


def turned(a, v, s, c):
    """Columns ``v`` turned about unit columns ``a``, by sine and cosine of the angle."""
    return v * c + cross(a, v) * s + a * (dot(a, v) * (1 - c))


class ArrayCar:
    """A car ready for evaluation."""

    def __init__(self, car):
        self.car = car
        powers = np.arange(5)
        curve = car.curve.transpose(1, 0, 2)
        # value, slope and curvature of nine curves in one product with the powers of travel
        slope = np.zeros_like(curve)
        slope[..., :4] = curve[..., 1:] * powers[1:]
        second = np.zeros_like(curve)
        second[..., :4] = slope[..., 1:] * powers[1:]
        self.curves = np.stack([curve, slope, second])
        self.direction = car.direction.transpose(2, 1, 0)  # number, way, wheel
        self.tire = car.tire.T
        self.damper = car.damper.transpose(1, 2, 0)
        self.stop = car.stop.transpose(1, 2, 0)
        self.axis, self.arm = car.axis.T, car.arm.T
        self.mass, self.diametral = car.unsprung[:, 0], car.unsprung[:, 1]
        self.more = car.unsprung[:, 2] - car.unsprung[:, 1]
        self.spreading = _SENSE * car.chassis[2]
        self.plate = car.plate.T
        self.brake_share = np.repeat([car.chassis[4], 1 - car.chassis[4]], 2) / 2
        # displacement matrices of both ends with the carcasses, by way: end x wheel x wheel
        carcass = 1 / self.direction[9]
        self.yielding = np.stack(
            [
                np.stack(
                    [car.compliance[end, 6 - way] + np.diag(carcass[way, 2 * end : 2 * end + 2])]
                )
                for way in range(2)
                for end in range(2)
            ]
        ).reshape(2, 2, 2, 2)
        toe = car.compliance[:, :4]
        self.toe = toe.transpose(0, 2, 1, 3).reshape(2, 2, 8)
        self.tilt = car.compliance[:, 4]

        # slope of the energy of binding, and terms of the links that can run solid at all
        self.binding = car.binding.T * np.array([[2.0], [3.0], [4.0]])
        self.links = bool((car.tilt_rate > 0).any())
        self.tilt_squared = car.tilt_squared.transpose(2, 1, 0)
        self.tilt_limit, self.tilt_rate = car.tilt_limit.T, car.tilt_rate.T


def _binding(a, s):
    """Force on the travels from the link ends."""
    force = s * (a.binding[0] + s * (a.binding[1] + s * a.binding[2]))
    if a.links:
        c, limit = a.tilt_squared, a.tilt_limit
        tilt = s * s * (c[0] + s * (c[1] + s * c[2]))
        tilt_s = s * (2 * c[0] + s * (3 * c[1] + 4 * s * c[2]))
        beyond, r = (tilt - limit**2) / (2 * limit), 0.15 * limit
        share = np.clip((beyond + r) / (2 * r), 0, 1)
        excess = 2 * r * share**3 * (1 - share / 2) + np.maximum(beyond - r, 0)
        slope = share**2 * (3 - 2 * share) / (2 * limit)
        force = force + (a.tilt_rate * excess * slope * tilt_s).sum(axis=0)
    return force


def _tires(a, u, load, inclination, transport, slip, radius, deflection):
    """Forces along and across, aligning and rolling moments, rates of the deflections."""
    d, tire = a.direction, a.tire
    surface, lean = max(u[4], 1e-3), inclination**2
    soft = d[3] * (1 + (load * d[4]) ** 2)
    friction = np.maximum(d[0] - d[1] * load, d[2]) * surface
    soft[1] *= 1 + tire[6] * lean
    friction[1] /= 1 + tire[5] * lean
    ratio, peak = 1 / (soft * friction), friction * load
    stiffness = np.maximum(load / soft, d[10])

    # what the wheels of an end remember together: way x end x wheel
    lengths = a.yielding * stiffness.reshape(2, 2, 1, 2)
    inverse = np.empty_like(lengths)
    det = lengths[..., 0, 0] * lengths[..., 1, 1] - lengths[..., 0, 1] * lengths[..., 1, 0]
    inverse[..., 0, 0], inverse[..., 1, 1] = lengths[..., 1, 1], lengths[..., 0, 0]
    inverse[..., 0, 1], inverse[..., 1, 0] = -lengths[..., 0, 1], -lengths[..., 1, 0]
    inverse /= det[..., None, None]
    zeta = (inverse @ deflection.reshape(2, 2, 2, 1)).reshape(2, 4)
    speed = np.abs(transport)
    drive = -slip
    drive[1] -= tire[4] * inclination * soft[1] * speed
    use = ((ratio * zeta) ** 2).sum(axis=0)
    sliding = np.sqrt(((ratio * drive) ** 2).sum(axis=0) * use + 1e-24) * use**2
    own = 1 / inverse[..., [0, 1], [0, 1]].reshape(2, 4)
    rate = (drive - zeta * (speed + sliding)) / (1 + 6 * 2e-3 * sliding / own)
    felt = zeta + tire[9] * (inverse @ rate.reshape(2, 2, 2, 1)).reshape(2, 4)
    felt = felt / np.maximum(1 - ((ratio * felt) ** 2).sum(axis=0) ** 3, 1e-4)

    scale = ratio * d[8]
    part = felt * scale
    s = np.sqrt((part**2).sum(axis=0) + 1e-24)
    bs = d[7] * s
    curve = np.sin(d[5] * np.arctan(bs - d[6] * (bs - np.arctan(bs))))
    pull = scale * peak
    whole = pull.sum(axis=0) + 1e-9
    weight = part * (whole + 2 * np.maximum(s - 1, 0) ** 2 * (pull * curve)[::-1])
    force = peak * curve * weight / np.sqrt((weight**2).sum(axis=0) + (1e-12 * whole) ** 2)
    sense = np.tanh(transport / 0.05)
    t = s * tire[8]
    trail = tire[7] * np.sqrt(load + 1e-9) * np.maximum(1 - t, 0) ** 3 / (1 - t + t * t / 3)
    return force, -trail * force[1] * sense, -tire[10] * load * radius * sense, rate


def _driveline(a, x, u, dx, axes, om):
    """Torques of the half shafts and the couple on the body."""
    p = a.car.driveline
    carried = om[1, 0]
    wind, flexible = x[42] - carried, p[13]
    housing = flexible * x[42] + (1 - flexible) * carried
    lean = axes - _Y
    left, right = x[22:24] - dot(lean, om)
    mean_rate = x[45] + housing - (left + right) / 2
    stiff, damping = p[8], p[9]
    one = stiff * x[43] + damping * mean_rate
    bias = p[5] + (p[6] if one > 0 else p[7]) * abs(2 * one)
    apart = right - left
    half = max(min(stiff * x[44] + damping * apart, bias), -bias) / 2
    held = flexible * (p[10] * x[41] + p[11] * wind)
    dx[41] = flexible * wind - (1 - flexible) * 100 * x[41]
    dx[42] = -flexible * (2 * one + held) / p[12] - (1 - flexible) * 100 * wind
    dx[43] = mean_rate
    dx[44] = apart - (x[44] - max(min(x[44], bias / stiff), -bias / stiff)) / 0.005

    ratio, on, speed = u[6] * p[0], u[8], x[46]
    passed = 0.0
    if on:
        slip, capacity = speed - ratio * x[45], u[7] * p[26]
        clutch = max(min(p[27] * x[47] + p[28] * slip, capacity), -capacity)
        drag = -(p[15] + p[16] * abs(speed)) * speed / (abs(speed) + 10)
        short, beyond = max(p[20] - speed, 0.0), max(speed - p[20], 0.0) / p[24]
        full = p[19] - p[21] * short**2 - p[22] * beyond**2 - p[23] * beyond**8
        rest = min(max((p[25] - speed) / (0.03 * p[25]), 0.0), 1.0)
        full = drag + rest * rest * (3 - 2 * rest) * (full - drag)
        engine = drag + x[48] * (full - drag) + p[18] * max(p[17] - speed, 0.0)
        passed = on * clutch * ratio * (p[3] if clutch > 0 else 1 / p[3])
        dx[46] = on * (engine - clutch) / p[14]
        bound = capacity / p[27]
        dx[47] = on * (slip - (x[47] - max(min(x[47], bound), -bound)) / 0.005)
        dx[48] = on * (u[5] - x[48]) / p[4]
    else:
        dx[46:49] = 0.0
    dx[45] = (passed + u[2] - 2 * one) / (p[1] * p[0] ** 2 + p[2] * ratio**2)
    torque = np.array([one + half, one - half])
    couple = -(lean * torque).sum(axis=1)
    couple[1] += held - (1 - flexible) * 2 * one
    # gyroscopic couple of the housing, om x e_y
    couple -= flexible * p[12] * x[42] * np.array([-om[2, 0], 0.0, om[0, 0]])
    return torque, couple


def _steer(a, mean):
    """Sine and cosine of each knuckle's turn, its first and second derivative by the mean steer."""
    s, c, k = np.sin(_FRONT * mean), np.cos(_FRONT * mean), a.spreading
    u = k * s * c
    w = np.sqrt(1 + u * u)
    t = k * s * s / (1 + w)
    norm = 1 / np.sqrt(1 + t * t)
    by, bend = _FRONT + u / w, k * (c * c - s * s) / w**3
    angle = np.array([(c - t * s) * norm, (s + t * c) * norm])
    turn = np.array([-angle[1], angle[0]])
    level, part, swung = a.plate[0], a.plate[1:3], a.plate[3:]
    p, p_by = (part * angle).sum(axis=0), (part * turn).sum(axis=0)
    q, q_by = level * angle[1] - p, level * angle[0] - p_by
    r, r_by = (swung * angle).sum(axis=0), (swung * turn).sum(axis=0)
    root = np.sqrt(r * r + q * q - p * p)
    half = (p + q) / (root - r)
    inverse = 1 / (1 + half * half)
    sine, cosine = 2 * half * inverse, (1 - half * half) * inverse
    first = (p_by + q_by * cosine + r_by * sine) / root
    second = first * (2 * (r_by * cosine - q_by * sine) + p * first) / root
    return sine, cosine, first * by, second * by * by + first * bend


def rates(a, x, u):
    """The rates of all 49 states."""
    car, chassis, dx = a.car, a.car.chassis, np.empty(STATES)
    sy, st, sr = np.sin(x[3:6])
    cy, ct, cr = np.cos(x[3:6])
    v, om = x[10:13, None], x[13:16, None]
    k = np.array([[-st], [ct * sr], [ct * cr]])
    ahead = ct * x[10] + st * (sr * x[11] + cr * x[12])
    left = cr * x[11] - sr * x[12]
    turn = x[14] * sr + x[15] * cr
    dx[0:3] = cy * ahead - sy * left, sy * ahead + cy * left, k[:, 0] @ x[10:13]
    dx[3:6] = turn / ct, x[14] * cr - x[15] * sr, x[13] + st / ct * turn
    dx[6:10] = x[16:20]

    # knuckles over their travels: 3 orders x 9 curves x 4 wheels
    s, sp = x[6:10], x[16:20]
    powers = np.array([np.ones(4), s, s * s, s**3, s**4]).T
    curves = (a.curves * powers).sum(axis=-1)
    (toe, tilt, pitch), (toe1, tilt1, pitch1), (toe2, tilt2, pitch2) = curves[:, 3:6]
    s_toe, c_toe, s_tilt, c_tilt = np.sin(toe), np.cos(toe), np.sin(tilt), np.cos(tilt)
    zero = np.zeros(4)
    e1, e1_turn = np.array([c_toe, s_toe, zero]), np.array([-s_toe, c_toe, zero])
    n = np.array([-s_toe * c_tilt, c_toe * c_tilt, s_tilt])
    first = e1 * tilt1
    first[2] += toe1
    by_turn = first + n * pitch1
    second = e1 * tilt2 + e1_turn * (tilt1 * toe1) + n * pitch2 + cross(first, n) * pitch1
    second[2] += toe2
    carrier = by_turn * sp
    carrier_bias = second * sp**2

    # steering: a turn about an axis fixed in the carrier, by zero at the rear
    mean, mean_rate = chassis[1] * u[0] + x[40], chassis[1] * u[1]
    sine, cosine, slope, bend = _steer(a, mean)
    angle_rate = slope * mean_rate
    e3 = cross(e1, n)
    s_p, c_p = np.sin(pitch), np.cos(pitch)
    b1, b3 = e1 * c_p - e3 * s_p, e1 * s_p + e3 * c_p
    axis = b1 * a.axis[0] + n * a.axis[1] + b3 * a.axis[2]
    arm = b1 * a.arm[0] + n * a.arm[1] + b3 * a.arm[2]
    swung = turned(axis, arm, sine, cosine)
    n = turned(axis, n, sine, cosine)
    center = curves[0, :3] + arm - swung
    by_travel = curves[1, :3] + cross(by_turn, arm - swung)
    rate = carrier + axis * angle_rate
    turn_bias = carrier_bias + axis * (bend * mean_rate**2) + cross(carrier, axis) * angle_rate
    velocity = by_travel * sp - cross(axis, swung) * angle_rate
    bias = curves[2, :3] * sp**2 + cross(carrier_bias, arm) + cross(carrier, cross(carrier, arm))
    bias -= cross(turn_bias, swung) + cross(rate, cross(rate, swung))
    rigid = v + cross(om, center)
    bias += cross(om, rigid + 2 * velocity)
    turn_bias += cross(om, rate)
    rate = rate + om
    moving = rigid + velocity

    # contacts
    tire = a.tire
    tilts = np.array([x[36:40], zero, x[32:36]])
    m = n + cross(tilts, n)
    m /= np.sqrt(dot(m, m))
    inclination = dot(m, k)
    inverse = 1 / np.sqrt(1 - inclination**2)
    forward = cross(m, k) * inverse
    sideways = cross(k, forward)
    radius = (x[2] + dot(k, center)) * inverse
    reach = -radius * cross(forward, m)
    at_road = moving + cross(rate, reach)
    pressed = np.maximum(tire[0] - radius, 0)
    damping = tire[3] * np.minimum(pressed * 1e3, 1) * -dot(at_road, k) * inverse
    load = np.maximum(tire[2] * pressed + damping, 0) * inverse
    spin = x[20:24]
    transport = spin * (tire[0] - tire[1] * pressed)
    slip = np.array([dot(moving, forward) - transport, dot(at_road, sideways)])
    deflection = x[24:32].reshape(4, 2).T
    grip, aligning, rolling, change = _tires(
        a, u, load, inclination, transport, slip, radius, deflection
    )
    dx[24:32] = change.T.ravel()

    # forces on wheels and knuckles
    force = k * load + forward * grip[0] + sideways * grip[1]
    moment = cross(reach, force) + k * aligning + m * rolling
    spinning = dot(m, moment)
    relative = spin - dot(m, rate)
    brake = a.brake_share * u[3] * relative / np.sqrt(relative**2 + 0.25)
    reaction = moment + m * (brake - spinning)
    axial = spinning - brake
    torque, couple = _driveline(a, x, u, dx, m[:, 2:], om)
    axial[2:] += torque
    dx[20:24] = axial / car.spin_inertia

    # inertia of the knuckles
    loads = force - a.mass * (chassis[0] * k + bias)
    spun = a.more * dot(n, rate) + car.spin_inertia * spin
    moments = (
        reaction
        - a.diametral * turn_bias
        - n * (a.more * dot(n, turn_bias))
        - cross(rate, n) * spun
    )
    about = moments + cross(center, loads)
    lever = a.mass * by_travel
    momentum = a.diametral * by_turn + n * (a.more * dot(n, by_turn))
    side = np.concatenate([lever, cross(center, lever) + momentum])
    diagonal = dot(lever, by_travel) + dot(momentum, by_turn)

    # struts
    length, length1 = curves[0, 6:], curves[1, 6:]
    speed = length1[1] * sp
    low, high, knee = np.where(speed > 0, a.damper[0], a.damper[1])
    press = high * speed + (low - high) * speed / np.sqrt(1 + (speed * knee) ** 2)
    bump = np.maximum(length[1] - a.stop[0, 0], 0)
    droop = np.maximum(-length[1] - a.stop[1, 0], 0)
    press += bump * (a.stop[0, 1] + a.stop[0, 2] * bump) - droop * (
        a.stop[1, 1] + a.stop[1, 2] * droop
    )
    strut = (car.spring[:, 0] + car.spring[:, 1] * length[0]) * length1[0] + press * length1[1]
    bar = length[2].reshape(2, 2)
    bars = car.bar_rate * (bar[:, 0] - bar[:, 1])
    strut += np.array([bars, -bars]).T.ravel() * length1[2] + _binding(a, s)
    on_travel = dot(by_travel, loads) + dot(by_turn, moments) - strut

    # the whole: the travels are eliminated, six equations are left
    whole = car.base.copy()
    far = a.mass * dot(center, center) + a.diametral
    lower = np.diag([far.sum()] * 3) + (n * a.more) @ n.T - (center * a.mass) @ center.T
    arms = skew((center * a.mass).sum(axis=1))
    whole[:3, :3] += np.diag([a.mass.sum()] * 3)
    whole[:3, 3:] -= arms
    whole[3:, :3] += arms
    whole[3:, 3:] += lower
    w = x[13:16]
    body_force = -car.mass * (chassis[0] * k[:, 0] + cross(w, x[10:13] + cross(w, car.center)))
    body_moment = couple + cross(car.center, body_force) - cross(w, car.inertia @ w)
    drag = -chassis[5] * x[10] * abs(x[10])
    front, rear = chassis[7:9] * x[10] ** 2
    right = np.concatenate([loads.sum(axis=1) + body_force, about.sum(axis=1) + body_moment])
    right[0] += drag
    right[2] += front + rear
    right[4] += drag * chassis[6] - front * chassis[9] - rear * chassis[10]
    share = side / diagonal
    dx[10:16] = np.linalg.solve(whole - share @ side.T, right - share @ on_travel)
    dx[16:20] = (on_travel - dx[10:16] @ side) / diagonal

    # lags
    by = (
        np.array([grip[1], grip[0], aligning, brake])
        .reshape(4, 2, 2)
        .transpose(1, 0, 2)
        .reshape(2, 8, 1)
    )
    toes = (a.toe @ by).ravel()
    leans = (a.tilt @ grip[1].reshape(2, 2, 1)).ravel()
    rack = slope * dot(axis, reaction - cross(swung, force))
    dx[32:36] = (toes - x[32:36]) / chassis[11]
    dx[36:40] = (leans - x[36:40]) / chassis[11]
    dx[40] = (chassis[3] * (rack[0] + rack[1]) - x[40]) / chassis[11]
    return dx
