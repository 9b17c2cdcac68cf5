"""(b) The car's equations in loops over the wheels, compiled by Numba.

Every wheel is visited twice: geometry, contact and load first, then, when what the wheels of an end
share is known, forces and the share in the equations of motion. The mass matrix is an arrow: four travels
hang on the six speeds of the body and on nothing else, so they are eliminated and six equations are left.
"""

from __future__ import annotations

from collections import namedtuple
from math import atan, ceil, cos, sin, sqrt, tanh

import numpy as np

from .jit import njit
from .vectors import add, along, cross, dot, get, put, sub, times

STATES, INPUTS = 49, 9

Work = namedtuple(
    "Work",
    [
        *("center", "by_travel", "turn_by_travel", "axis", "turned", "forward", "left", "arm"),
        *("rate", "bias", "turn_bias", "steer_axis", "steer_arm"),
        *("inclination", "load", "transport", "slip", "radius", "sliding", "tire", "stiffness"),
        *("zeta", "zeta_rate", "lengths", "force", "brake", "axial", "reaction", "left_side", "right_side"),
        *("side", "diagonal", "travel_force", "bar"),
    ],
)


def work_space():
    """Arrays in which the stages leave things for each other."""
    vectors = [np.zeros((4, 3)) for _ in range(13)]
    rest = [
        *(np.zeros(4), np.zeros(4), np.zeros(4), np.zeros((4, 2)), np.zeros(4), np.zeros(4)),
        *(np.zeros((4, 8)), np.zeros((4, 2))),
        *(np.zeros((4, 2)), np.zeros((4, 2)), np.zeros((2, 2, 2, 2)), np.zeros((4, 3)), np.zeros(4)),
        *(np.zeros(4), np.zeros((4, 3)), np.zeros((6, 6)), np.zeros(6)),
        *(np.zeros((4, 6)), np.zeros(4), np.zeros(4), np.zeros((4, 2))),
    ]
    return Work(*vectors, *rest)


@njit
def poly(curve, i, j, s):
    """Value, slope and curvature of curve ``j`` of wheel ``i``."""
    c0, c1, c2, c3, c4 = curve[i, j, 0], curve[i, j, 1], curve[i, j, 2], curve[i, j, 3], curve[i, j, 4]
    value = (((c4 * s + c3) * s + c2) * s + c1) * s + c0
    slope = ((4 * c4 * s + 3 * c3) * s + 2 * c2) * s + c1
    return value, slope, (12 * c4 * s + 6 * c3) * s + 2 * c2


@njit
def clamp(x, bound):
    return max(min(x, bound), -bound)


@njit
def place(i, x, u, car, w, k, om, v):
    """Stage 1: a knuckle's place, motion and contact with the road; its share in the mass matrix."""
    curve, s, sr = car.curve, x[6 + i], x[16 + i]
    cx, cy, cz = poly(curve, i, 0, s), poly(curve, i, 1, s), poly(curve, i, 2, s)
    toe, tilt, pitch = poly(curve, i, 3, s), poly(curve, i, 4, s), poly(curve, i, 5, s)
    st, ct, sl, cl = sin(toe[0]), cos(toe[0]), sin(tilt[0]), cos(tilt[0])
    e1 = (ct, st, 0.0)
    n = (-st * cl, ct * cl, sl)
    first = along((0.0, 0.0, toe[1]), e1, tilt[1])
    turn = along(first, n, pitch[1])
    turn_s = along(along((0.0, 0.0, toe[2]), e1, tilt[2]), (-st, ct, 0.0), tilt[1] * toe[1])
    turn_s = along(along(turn_s, n, pitch[2]), cross(first, n), pitch[1])
    center, by_travel = (cx[0], cy[0], cz[0]), (cx[1], cy[1], cz[1])
    bias = times((cx[2], cy[2], cz[2]), sr * sr)
    rate = times(turn, sr)
    turn_bias = times(turn_s, sr * sr)
    if i < 2:
        # the steering turns the knuckle about an axis fixed in its carrier
        chassis = car.chassis
        more = chassis[2] if i == 0 else -chassis[2]
        mean, mean_rate = chassis[1] * u[0] + x[40], chassis[1] * u[1]
        angle, slope = mean + more * mean * mean, 1 + 2 * more * mean
        d_rate, d_bias = slope * mean_rate, 2 * more * mean_rate * mean_rate
        e3 = cross(e1, n)
        sp, cp = sin(pitch[0]), cos(pitch[0])
        b1, b3 = along(times(e1, cp), e3, -sp), along(times(e1, sp), e3, cp)
        own, arm = get(car.axis, i), get(car.arm, i)
        a = along(along(times(b1, own[0]), n, own[1]), b3, own[2])
        g = along(along(times(b1, arm[0]), n, arm[1]), b3, arm[2])
        sd, cd = sin(angle), cos(angle)
        h = along(along(times(g, cd), cross(a, g), sd), a, dot(a, g) * (1 - cd))
        n = along(along(times(n, cd), cross(a, n), sd), a, dot(a, n) * (1 - cd))
        gap = sub(g, h)
        center, by_travel = add(center, gap), add(by_travel, cross(turn, gap))
        before, first_bias = rate, turn_bias
        rate = along(rate, a, d_rate)
        turn_bias = along(along(turn_bias, a, d_bias), cross(before, a), d_rate)
        velocity = along(times(by_travel, sr), cross(a, h), -d_rate)
        bias = add(bias, add(cross(first_bias, g), cross(before, cross(before, g))))
        bias = sub(bias, add(cross(turn_bias, h), cross(rate, cross(rate, h))))
        put(w.steer_axis, i, times(a, slope))
        put(w.steer_arm, i, h)
    else:
        velocity = times(by_travel, sr)
    whole = add(om, rate)
    rigid = add(v, cross(om, center))
    put(w.center, i, center)
    put(w.by_travel, i, by_travel)
    put(w.turn_by_travel, i, turn)
    put(w.axis, i, n)
    put(w.rate, i, whole)
    put(w.bias, i, add(add(cross(om, rigid), times(cross(om, velocity), 2.0)), bias))
    put(w.turn_bias, i, add(turn_bias, cross(om, rate)))

    # contact with the road
    yielded = add(n, cross((x[36 + i], 0.0, x[32 + i]), n))
    n = times(yielded, 1 / sqrt(dot(yielded, yielded)))
    lean = dot(n, k)
    inverse = 1 / sqrt(1 - lean * lean)
    forward = times(cross(n, k), inverse)
    left = cross(k, forward)
    loaded = (x[2] + dot(k, center)) * inverse
    arm = times(cross(forward, n), -loaded)
    moving = add(rigid, velocity)
    at_road = add(moving, cross(whole, arm))
    tire, spin = car.tire, x[20 + i]
    pressed = max(tire[i, 0] - loaded, 0.0)
    damping = tire[i, 3] * min(pressed * 1e3, 1.0) * -dot(at_road, k) * inverse
    load = max(tire[i, 2] * pressed + damping, 0.0) * inverse
    transport = spin * (tire[i, 0] - tire[i, 1] * pressed)
    put(w.turned, i, n)
    put(w.forward, i, forward)
    put(w.left, i, left)
    put(w.arm, i, arm)
    w.inclination[i], w.load[i], w.transport[i], w.radius[i] = lean, load, transport, loaded
    w.slip[i, 0], w.slip[i, 1] = dot(moving, forward) - transport, dot(at_road, left)


@njit
def grip(i, u, car, w):
    """Stage 2: what a tire can do at its load: ratios of stiffness to peak, peaks, memory stiffness."""
    tire, load = car.tire, w.load[i]
    surface, lean = max(u[4], 1e-3), w.inclination[i] * w.inclination[i]
    for way in range(2):
        d = car.direction
        soft = d[i, way, 3] * (1 + (load * d[i, way, 4]) ** 2)
        friction = max(d[i, way, 0] - d[i, way, 1] * load, d[i, way, 2]) * surface
        if way == 1:
            soft *= 1 + tire[i, 6] * lean
            friction /= 1 + tire[i, 5] * lean
            w.tire[i, 4] = -tire[i, 4] * w.inclination[i] * soft
        w.tire[i, way] = 1 / (soft * friction)
        w.tire[i, 2 + way] = friction * load
        w.stiffness[i, way] = max(load / soft, d[i, way, 10])


@njit
def determinant(m, end, way):
    """Of one of the 2 x 2 matrices."""
    return m[end, way, 0, 0] * m[end, way, 1, 1] - m[end, way, 0, 1] * m[end, way, 1, 0]


@njit
def unmix(m, end, way, a, b):
    """Solves one of the 2 x 2 systems."""
    inverse = 1 / determinant(m, end, way)
    return (
        (m[end, way, 1, 1] * a - m[end, way, 0, 1] * b) * inverse,
        (m[end, way, 0, 0] * b - m[end, way, 1, 0] * a) * inverse,
    )


@njit
def memory(end, x, dx, car, w):
    """Stage 3: slip that the deflections of an end's wheels remember, and the deflections' rates."""
    first = 2 * end
    for way in range(2):
        for i in range(2):
            for j in range(2):
                c = car.compliance[end, 6 - way, i, j]
                if i == j:
                    c += 1 / car.direction[first + i, way, 9]
                w.lengths[end, way, i, j] = c * w.stiffness[first + j, way]
        a, b = unmix(w.lengths, end, way, x[24 + 2 * first + way], x[26 + 2 * first + way])
        w.zeta[first, way], w.zeta[first + 1, way] = a, b
    for j in range(2):
        i = first + j
        rx, ry = w.tire[i, 0], w.tire[i, 1]
        zx, zy = w.zeta[i, 0], w.zeta[i, 1]
        speed = abs(w.transport[i])
        drive_x, drive_y = -w.slip[i, 0], w.tire[i, 4] * speed - w.slip[i, 1]
        z2 = (rx * zx) ** 2 + (ry * zy) ** 2
        sliding = sqrt(((rx * drive_x) ** 2 + (ry * drive_y) ** 2) * z2 + 1e-24) * z2 * z2
        through = speed + sliding
        for way in range(2):
            own = determinant(w.lengths, end, way) / w.lengths[end, way, 1 - j, 1 - j]
            drive = drive_x if way == 0 else drive_y
            rate = (drive - w.zeta[i, way] * through) / (1 + 6 * 2e-3 * sliding / own)
            dx[24 + 2 * i + way] = rate
    for way in range(2):
        a, b = unmix(w.lengths, end, way, dx[24 + 2 * first + way], dx[26 + 2 * first + way])
        w.zeta_rate[first, way], w.zeta_rate[first + 1, way] = a, b


@njit
def push(i, x, u, car, w, k):
    """Stage 4: forces of a tire and its brake; what is left for the knuckle and what turns the wheel."""
    tire, load = car.tire, w.load[i]
    rx, ry = w.tire[i, 0], w.tire[i, 1]
    tau = tire[i, 9]
    fx, fy = w.zeta[i, 0] + tau * w.zeta_rate[i, 0], w.zeta[i, 1] + tau * w.zeta_rate[i, 1]
    use = (rx * fx) ** 2 + (ry * fy) ** 2
    margin = max(1 - use * use * use, 1e-4)
    px = fx / margin * rx * car.direction[i, 0, 8]
    py = fy / margin * ry * car.direction[i, 1, 8]
    s = sqrt(px * px + py * py + 1e-24)
    d = car.direction
    bs = d[i, 0, 7] * s
    force_x = w.tire[i, 2] * sin(d[i, 0, 5] * atan(bs - d[i, 0, 6] * (bs - atan(bs)))) * px / s
    bs = d[i, 1, 7] * s
    force_y = w.tire[i, 3] * sin(d[i, 1, 5] * atan(bs - d[i, 1, 6] * (bs - atan(bs)))) * py / s
    sense = tanh(w.transport[i] / 0.05)
    t = s * tire[i, 8]
    rest = max(1 - t, 0.0)
    trail = sqrt(tire[i, 7] * (load + 1e-9)) * rest * rest * rest / (1 - t + t * t / 3)
    moment_z = -trail * force_y * sense
    moment_y = -tire[i, 10] * load * w.radius[i] * sense
    n = get(w.turned, i)
    force = along(along(times(k, load), get(w.forward, i), force_x), get(w.left, i), force_y)
    moment = along(along(cross(get(w.arm, i), force), k, moment_z), n, moment_y)
    turning = dot(n, moment)
    share = car.chassis[4] if i < 2 else 1 - car.chassis[4]
    relative = x[20 + i] - dot(n, get(w.rate, i))
    brake = 0.5 * share * u[3] * relative / sqrt(relative * relative + 0.25)
    w.tire[i, 5], w.tire[i, 6], w.tire[i, 7] = force_x, force_y, moment_z
    w.brake[i], w.axial[i] = brake, turning - brake
    put(w.force, i, force)
    put(w.reaction, i, along(moment, n, brake - turning))


@njit
def weigh(i, x, car, w, k):
    """Stage 5: a knuckle's share in the equations of motion, its strut's force on the travel."""
    mass, diametral = car.unsprung[i, 0], car.unsprung[i, 1]
    more = car.unsprung[i, 2] - diametral
    center, c_s, n, turn = get(w.center, i), get(w.by_travel, i), get(w.axis, i), get(w.turn_by_travel, i)
    rate = get(w.rate, i)
    force = along(get(w.force, i), k, -mass * car.chassis[0])
    force = along(force, get(w.bias, i), -mass)
    turn_bias = get(w.turn_bias, i)
    spun = more * dot(n, rate) + car.spin_inertia[i] * x[20 + i]
    couple = along(get(w.reaction, i), turn_bias, -diametral)
    couple = along(couple, n, -more * dot(n, turn_bias))
    couple = along(couple, cross(rate, n), -spun)
    about = add(couple, cross(center, force))
    momentum = along(times(turn, diametral), n, more * dot(n, turn))
    sideways = times(c_s, mass)
    swing = add(cross(center, sideways), momentum)
    right, m = w.right_side, w.left_side
    for j in range(3):
        w.side[i, j], w.side[i, 3 + j] = sideways[j], swing[j]
        right[j] += force[j]
        right[3 + j] += about[j]
    w.diagonal[i] = dot(sideways, c_s) + dot(momentum, turn)

    # inertia about O, upper half
    cx, cy, cz = center
    far = mass * (cx * cx + cy * cy + cz * cz) + diametral
    for j in range(3):
        m[j, j] += mass
        m[3 + j, 3 + j] += far + more * n[j] * n[j] - mass * center[j] * center[j]
    m[3, 4] += more * n[0] * n[1] - mass * cx * cy
    m[3, 5] += more * n[0] * n[2] - mass * cx * cz
    m[4, 5] += more * n[1] * n[2] - mass * cy * cz
    m[0, 4] += mass * cz
    m[0, 5] -= mass * cy
    m[1, 3] -= mass * cz
    m[1, 5] += mass * cx
    m[2, 3] += mass * cy
    m[2, 4] -= mass * cx

    # spring, damper, stops and link ends
    s, sr = x[6 + i], x[16 + i]
    curve = car.curve
    spring, damper, bar = poly(curve, i, 6, s), poly(curve, i, 7, s), poly(curve, i, 8, s)
    w.bar[i, 0], w.bar[i, 1] = bar[0], bar[1]
    on_travel = (car.spring[i, 0] + car.spring[i, 1] * spring[0]) * spring[1]
    speed = damper[1] * sr
    d, way = car.damper, 0 if speed > 0 else 1
    low, high, knee = d[i, way, 0], d[i, way, 1], d[i, way, 2]
    pressing = high * speed + (low - high) * speed / sqrt(1 + (speed * knee) ** 2)
    stop = car.stop
    into = max(damper[0] - stop[i, 0, 0], 0.0)
    pressing += into * (stop[i, 0, 1] + stop[i, 0, 2] * into)
    into = max(-damper[0] - stop[i, 1, 0], 0.0)
    pressing -= into * (stop[i, 1, 1] + stop[i, 1, 2] * into)
    on_travel += pressing * damper[1]
    c = car.binding
    on_travel += s * (2 * c[i, 0] + s * (3 * c[i, 1] + s * 4 * c[i, 2]))
    for j in range(3):
        stiff, limit = car.tilt_rate[i, j], car.tilt_limit[i, j]
        if stiff > 0:
            a, b, c = car.tilt_squared[i, j, 0], car.tilt_squared[i, j, 1], car.tilt_squared[i, j, 2]
            beyond = (s * s * (a + s * (b + s * c)) - limit * limit) / (2 * limit)
            r = 0.15 * limit
            share = min(max((beyond + r) / (2 * r), 0.0), 1.0)
            excess = 2 * r * share * share * share * (1 - 0.5 * share) + max(beyond - r, 0.0)
            slope = share * share * (3 - 2 * share) / (2 * limit)
            on_travel += stiff * excess * slope * s * (2 * a + s * (3 * b + s * 4 * c))
    w.travel_force[i] = dot(c_s, force) + dot(turn, couple) - on_travel


@njit
def driveline(x, u, dx, car, w, om):
    """Stage 6: torques of half shafts, differential, clutch, engine; the couple on the body."""
    p = car.driveline
    wind, flexible = x[42] - om[1], p[13]
    housing = flexible * x[42] + (1 - flexible) * om[1]
    across = (0.0, 1.0, 0.0)
    lean_l, lean_r = sub(get(w.turned, 2), across), sub(get(w.turned, 3), across)
    left, right = x[22] - dot(lean_l, om), x[23] - dot(lean_r, om)
    mean_rate = x[45] + housing - 0.5 * (left + right)
    stiff, damping = p[8], p[9]
    one = stiff * x[43] + damping * mean_rate
    bias = p[5] + (p[6] if one > 0 else p[7]) * abs(2 * one)
    apart = right - left
    half = 0.5 * clamp(stiff * x[44] + damping * apart, bias)
    torque_l, torque_r, both = one + half, one - half, 2 * one
    held = flexible * (p[10] * x[41] + p[11] * wind)
    dx[41] = flexible * wind - (1 - flexible) * 100.0 * x[41]
    dx[42] = -flexible * (both + held) / p[12] - (1 - flexible) * 100.0 * wind
    dx[43] = mean_rate
    dx[44] = apart - (x[44] - clamp(x[44], bias / stiff)) / 0.005

    # engine and clutch
    ratio, on, speed = u[6] * p[0], u[8], x[46]
    slip, capacity = speed - ratio * x[45], u[7] * p[26]
    clutch = clamp(p[27] * x[47] + p[28] * slip, capacity)
    drag = -(p[15] + p[16] * abs(speed)) * speed / (abs(speed) + 10)
    short, beyond = max(p[20] - speed, 0.0), max(speed - p[20], 0.0) / p[24]
    b2 = beyond * beyond
    full = p[19] - p[21] * short * short - b2 * (p[22] + p[23] * b2 * b2 * b2)
    left_over = min(max((p[25] - speed) / (0.03 * p[25]), 0.0), 1.0)
    full = drag + left_over * left_over * (3 - 2 * left_over) * (full - drag)
    engine = drag + x[48] * (full - drag) + p[18] * max(p[17] - speed, 0.0)
    passed = on * clutch * ratio * (p[3] if clutch > 0 else 1 / p[3])
    dx[45] = (passed + u[2] - both) / (p[1] * p[0] * p[0] + p[2] * ratio * ratio)
    dx[46] = on * (engine - clutch) / p[14]
    dx[47] = on * (slip - (x[47] - clamp(x[47], capacity / p[27])) / 0.005)
    dx[48] = on * (u[5] - x[48]) / p[4]
    w.axial[2] += torque_l
    w.axial[3] += torque_r

    # on the body: what holds the housing, the shafts' skew ends, the housing's gyroscopic couple
    couple = along(times(lean_l, -torque_l), lean_r, -torque_r)
    couple = along(couple, across, held - (1 - flexible) * both)
    return along(couple, cross(om, across), -flexible * p[12] * x[42])


@njit
def body(car, w, k, om, v, couple):
    """Stage 7: the sprung body with the air on it."""
    m, right = w.left_side, w.right_side
    for i in range(6):
        for j in range(i, 6):
            m[i, j] = car.base[i, j]
    center, mass, chassis = (car.center[0], car.center[1], car.center[2]), car.mass, car.chassis
    velocity = add(v, cross(om, center))
    force = along(times(k, -mass * chassis[0]), cross(om, velocity), -mass)
    j = car.inertia
    momentum = (
        j[0, 0] * om[0] + j[0, 1] * om[1] + j[0, 2] * om[2],
        j[1, 0] * om[0] + j[1, 1] * om[1] + j[1, 2] * om[2],
        j[2, 0] * om[0] + j[2, 1] * om[1] + j[2, 2] * om[2],
    )
    moment = add(sub(cross(center, force), cross(om, momentum)), couple)
    drag = -chassis[5] * v[0] * abs(v[0])
    front, rear = chassis[7] * v[0] * v[0], chassis[8] * v[0] * v[0]
    right[0], right[1], right[2] = force[0] + drag, force[1], force[2] + front + rear
    right[3] = moment[0]
    right[4] = moment[1] + drag * chassis[6] - front * chassis[9] - rear * chassis[10]
    right[5] = moment[2]


@njit
def solve(dx, w):
    """Stage 8: eliminates the travels, then Cholesky on what is left, in place."""
    m, f = w.left_side, w.right_side
    for i in range(4):
        inverse = 1 / w.diagonal[i]
        for a in range(6):
            share = w.side[i, a] * inverse
            f[a] -= share * w.travel_force[i]
            for b in range(a, 6):
                m[a, b] -= share * w.side[i, b]
    for a in range(6):
        pivot = 1 / sqrt(m[a, a])
        for b in range(a, 6):
            m[a, b] *= pivot
        f[a] *= pivot
        for b in range(a + 1, 6):
            f[b] -= m[a, b] * f[a]
            for c in range(b, 6):
                m[b, c] -= m[a, b] * m[a, c]
        m[a, a] = pivot
    for back in range(6):
        a = 5 - back
        for b in range(a + 1, 6):
            f[a] -= m[a, b] * f[b]
        f[a] *= m[a, a]
        dx[10 + a] = f[a]
    for i in range(4):
        rest = w.travel_force[i]
        for a in range(6):
            rest -= w.side[i, a] * f[a]
        dx[16 + i] = rest / w.diagonal[i]


@njit
def lags(dx, x, car, w):
    """Stage 9: links and column that yield."""
    inverse = 1 / car.chassis[11]
    for end in range(2):
        c = car.compliance
        for i in range(2):
            toe, tilt, me = 0.0, 0.0, 2 * end + i
            for j in range(2):
                other = 2 * end + j
                fx, fy, mz = w.tire[other, 5], w.tire[other, 6], w.tire[other, 7]
                toe += c[end, 0, i, j] * fy + c[end, 1, i, j] * fx
                toe += c[end, 2, i, j] * mz + c[end, 3, i, j] * w.brake[other]
                tilt += c[end, 4, i, j] * fy
            dx[32 + me] = (toe - x[32 + me]) * inverse
            dx[36 + me] = (tilt - x[36 + me]) * inverse
    rack = 0.0
    for i in range(2):
        about = sub(get(w.reaction, i), cross(get(w.steer_arm, i), get(w.force, i)))
        rack += dot(get(w.steer_axis, i), about)
    dx[40] = (car.chassis[3] * rack - x[40]) * inverse


@njit
def rates(x, u, car, w, dx):
    """The rates of all 49 states into ``dx``."""
    v, om = (x[10], x[11], x[12]), (x[13], x[14], x[15])
    sy, cy, st, ct, sr, cr = sin(x[3]), cos(x[3]), sin(x[4]), cos(x[4]), sin(x[5]), cos(x[5])
    k = (-st, ct * sr, ct * cr)
    # places and attitude
    ahead, left, up = ct * v[0] + st * (sr * v[1] + cr * v[2]), cr * v[1] - sr * v[2], dot(k, v)
    dx[0], dx[1], dx[2] = cy * ahead - sy * left, sy * ahead + cy * left, up
    turn = om[1] * sr + om[2] * cr
    dx[3], dx[4], dx[5] = turn / ct, om[1] * cr - om[2] * sr, om[0] + st / ct * turn
    for i in range(4):
        dx[6 + i] = x[16 + i]

    for i in range(4):
        place(i, x, u, car, w, k, om, v)
        grip(i, u, car, w)
    memory(0, x, dx, car, w)
    memory(1, x, dx, car, w)
    for i in range(4):
        push(i, x, u, car, w, k)
    couple = driveline(x, u, dx, car, w, om)
    body(car, w, k, om, v, couple)
    for i in range(4):
        weigh(i, x, car, w, k)
    for end in range(2):
        a, b = 2 * end, 2 * end + 1
        bar = car.bar_rate[end] * (w.bar[a, 0] - w.bar[b, 0])
        w.travel_force[a] -= bar * w.bar[a, 1]
        w.travel_force[b] += bar * w.bar[b, 1]
    solve(dx, w)
    for i in range(4):
        dx[20 + i] = w.axial[i] / car.spin_inertia[i]
    lags(dx, x, car, w)


@njit
def act(t, before, change, rise, u):
    """The step steer's inputs: the steering wheel is turned at a constant rate, all else is held."""
    for i in range(INPUTS):
        u[i] = before[i]
    if t < rise:
        u[0] += change * t / rise
        u[1] = change / rise
    else:
        u[0] += change


@njit
def look(history, row, t, x):
    """Keeps what the metrics need: time, pitch, roll, velocity, angular velocity."""
    history[row, 0], history[row, 1], history[row, 2] = t, x[4], x[5]
    for i in range(6):
        history[row, 3 + i] = x[10 + i]


@njit
def drive(start, before, change, breaks, step, car, w, history):
    """Fixed steps of the classical Runge-Kutta method from break to break; the number of samples."""
    x, y, u = start.copy(), start.copy(), np.empty(INPUTS)
    k1, k2, k3, k4 = np.empty(STATES), np.empty(STATES), np.empty(STATES), np.empty(STATES)
    rise, row = breaks[1], 0
    for part in range(len(breaks) - 1):
        begin, span = breaks[part], breaks[part + 1] - breaks[part]
        count = int(ceil(span / step - 1e-9))
        h = span / count
        for i in range(count):
            t = begin + i * h
            look(history, row, t, x)
            row += 1
            # at the end of the ramp the rate is still that of the ramp
            late = min(t + h, breaks[part + 1] - 1e-12)
            act(t, before, change, rise, u)
            rates(x, u, car, w, k1)
            act(t + 0.5 * h, before, change, rise, u)
            for j in range(STATES):
                y[j] = x[j] + 0.5 * h * k1[j]
            rates(y, u, car, w, k2)
            for j in range(STATES):
                y[j] = x[j] + 0.5 * h * k2[j]
            rates(y, u, car, w, k3)
            act(late, before, change, rise, u)
            for j in range(STATES):
                y[j] = x[j] + h * k3[j]
            rates(y, u, car, w, k4)
            for j in range(STATES):
                x[j] += h / 6 * (k1[j] + 2 * (k2[j] + k3[j]) + k4[j])
    look(history, row, breaks[-1], x)
    return row + 1
