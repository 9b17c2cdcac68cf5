"""Stages 1 to 4 of the compiled equations: knuckles, contacts, tires, brakes."""

from __future__ import annotations

from math import atan, cos, sin, sqrt, tanh

from .jit import njit
from .vectors import add, along, cross, dot, get, put, sub, times


@njit
def poly(curve, i, j, s):
    """Value, slope and curvature of curve ``j`` of wheel ``i``."""
    c0, c1, c2, c3, c4 = (
        curve[i, j, 0],
        curve[i, j, 1],
        curve[i, j, 2],
        curve[i, j, 3],
        curve[i, j, 4],
    )
    value = (((c4 * s + c3) * s + c2) * s + c1) * s + c0
    slope = ((4 * c4 * s + 3 * c3) * s + 2 * c2) * s + c1
    return value, slope, (12 * c4 * s + 6 * c3) * s + 2 * c2


@njit
def steer(plate, i, sense, k, s, c):
    """Sine and cosine of a knuckle's turn, its first and second derivative by the mean steer.

    ``s`` and ``c`` are those of the mean steer, ``k`` the difference of the wheels' cotangents.
    """
    u = k * s * c
    w = sqrt(1 + u * u)
    t = sense * k * s * s / (1 + w)
    norm = 1 / sqrt(1 + t * t)
    by, bend = 1 + sense * u / w, sense * k * (c * c - s * s) / (w * w * w)
    sine, cosine = (s + t * c) * norm, (c - t * s) * norm
    level, p_c, p_s, r_c, r_s = plate[i, 0], plate[i, 1], plate[i, 2], plate[i, 3], plate[i, 4]
    p, p_by = p_c * cosine + p_s * sine, p_s * cosine - p_c * sine
    q, q_by = level * sine - p, level * cosine - p_by
    r, r_by = r_c * cosine + r_s * sine, r_s * cosine - r_c * sine
    root = sqrt(r * r + q * q - p * p)
    # half-angle form: p + q cos + r sin = 0
    half = (p + q) / (root - r)
    inverse = 1 / (1 + half * half)
    sd, cd = 2 * half * inverse, (1 - half * half) * inverse
    first = (p_by + q_by * cd + r_by * sd) / root
    second = first * (2 * (r_by * cd - q_by * sd) + p * first) / root
    return sd, cd, first * by, second * by * by + first * bend


@njit
def place(i, x, u, car, w, k, om, v):
    """Stage 1: place, motion and road contact of a knuckle, and its share of the mass matrix."""
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
        mean, mean_rate = chassis[1] * u[0] + x[40], chassis[1] * u[1]
        sense = 1.0 if i == 0 else -1.0
        sd, cd, slope, bend = steer(car.plate, i, sense, chassis[2], sin(mean), cos(mean))
        d_rate, d_bias = slope * mean_rate, bend * mean_rate * mean_rate
        e3 = cross(e1, n)
        sp, cp = sin(pitch[0]), cos(pitch[0])
        b1, b3 = along(times(e1, cp), e3, -sp), along(times(e1, sp), e3, cp)
        own, arm = get(car.axis, i), get(car.arm, i)
        a = along(along(times(b1, own[0]), n, own[1]), b3, own[2])
        g = along(along(times(b1, arm[0]), n, arm[1]), b3, arm[2])
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
    """Stage 2: capacity of a tire at its load: stiffness over peak, peaks, memory stiffness."""
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
    """Determinant of a 2 x 2 matrix."""
    return m[end, way, 0, 0] * m[end, way, 1, 1] - m[end, way, 0, 1] * m[end, way, 1, 0]


@njit
def unmix(m, end, way, a, b):
    """Solves a 2 x 2 system."""
    inverse = 1 / determinant(m, end, way)
    return (
        (m[end, way, 1, 1] * a - m[end, way, 0, 1] * b) * inverse,
        (m[end, way, 0, 0] * b - m[end, way, 1, 0] * a) * inverse,
    )


@njit
def memory(end, x, dx, car, w):
    """Stage 3: slip by the tire deflections of one end, and the rates of the deflections."""
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
    """Stage 4: forces of a tire and its brake on knuckle and wheel."""
    tire, load = car.tire, w.load[i]
    rx, ry = w.tire[i, 0], w.tire[i, 1]
    tau = tire[i, 9]
    fx, fy = w.zeta[i, 0] + tau * w.zeta_rate[i, 0], w.zeta[i, 1] + tau * w.zeta_rate[i, 1]
    use = (rx * fx) ** 2 + (ry * fy) ** 2
    margin = max(1 - use * use * use, 1e-4)
    scale_x, scale_y = rx * car.direction[i, 0, 8], ry * car.direction[i, 1, 8]
    px, py = fx / margin * scale_x, fy / margin * scale_y
    s = sqrt(px * px + py * py + 1e-24)
    d = car.direction
    bs = d[i, 0, 7] * s
    curve_x = w.tire[i, 2] * sin(d[i, 0, 5] * atan(bs - d[i, 0, 6] * (bs - atan(bs))))
    bs = d[i, 1, 7] * s
    curve_y = w.tire[i, 3] * sin(d[i, 1, 5] * atan(bs - d[i, 1, 6] * (bs - atan(bs))))
    whole = scale_x * w.tire[i, 2] + scale_y * w.tire[i, 3] + 1e-9
    beyond = max(s - 1, 0.0)
    turned = 2 * beyond * beyond
    px *= whole + turned * scale_y * curve_y
    py *= whole + turned * scale_x * curve_x
    length = sqrt(px * px + py * py + (1e-12 * whole) * (1e-12 * whole))
    force_x, force_y = curve_x * px / length, curve_y * py / length
    sense = tanh(w.transport[i] / 0.05)
    t = s * tire[i, 8]
    rest = max(1 - t, 0.0)
    trail = tire[i, 7] * sqrt(load + 1e-9) * rest * rest * rest / (1 - t + t * t / 3)
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
