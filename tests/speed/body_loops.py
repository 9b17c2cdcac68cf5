"""Stages 5 to 9 of the compiled equations: equations of motion, driveline, solution, lags."""

from __future__ import annotations

from math import sqrt

from .jit import njit
from .vectors import add, along, cross, dot, get, sub, times
from .wheel_loops import poly


@njit
def clamp(x, bound):
    return max(min(x, bound), -bound)


@njit
def weigh(i, x, car, w, k):
    """Stage 5: a knuckle's share in the equations of motion, its strut's force on the travel."""
    mass, diametral = car.unsprung[i, 0], car.unsprung[i, 1]
    more = car.unsprung[i, 2] - diametral
    center, c_s, n, turn = (
        get(w.center, i),
        get(w.by_travel, i),
        get(w.axis, i),
        get(w.turn_by_travel, i),
    )
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
            a, b, c = (
                car.tilt_squared[i, j, 0],
                car.tilt_squared[i, j, 1],
                car.tilt_squared[i, j, 2],
            )
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
    """Stage 9: compliance of links and column, with a lag."""
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
