"""The tire's formulas, written again from the documentation of the tire crate.

Slips and forces are pairs (along, across). The small constants under roots and the limits that
keep a lifted or a standing wheel harmless are those of the documentation.
"""

from __future__ import annotations

import casadi as ca

from .corners import EXACT, above

BELT_TIME = 2e-3
LEAST_MARGIN = 1e-4
LEAST_SURFACE = 1e-3
SENSE_SPEED = 0.05
DAMPING_FADE = 1e-3


class Tire:
    """One tire from its numbers."""

    def __init__(self, numbers, rounding=EXACT):
        self.numbers = numbers
        self.rounding = rounding
        self.unloaded_radius = numbers.unloaded_radius

    def radial_force(self, compression, compression_rate):
        """Spring and damper, never pulling; the damper fades in over the first millimeter."""
        n = self.numbers
        pressed = above(compression, self.rounding.length)
        fade = ca.fmin(pressed / DAMPING_FADE, 1)
        force = n.vertical_stiffness * pressed + n.vertical_damping * fade * compression_rate
        return above(force, self.rounding.load)

    def rolling_radius(self, compression):
        """Forward speed over spin without slip."""
        return self.unloaded_radius - self.numbers.radius_fraction * above(
            compression, self.rounding.length
        )


class Loaded:
    """A tire at one load, inclination and surface."""

    def __init__(self, tire, load, inclination, surface):
        n = tire.numbers
        self.tire = tire
        self.load = load = above(load, tire.rounding.load)
        surface = ca.fmax(surface, LEAST_SURFACE)
        lean = inclination**2
        losses = (
            (ca.SX(1), 1 + n.camber_grip_loss * lean),
            (ca.SX(1), 1 + n.camber_stiffness_loss * lean),
        )
        self.stiffness, self.peak, self.ratio, self.floor = [], [], [], []
        for i, d in enumerate((n.x, n.y)):
            # K = F_z / (softness (1 + u^2)), D = mu F_z; K/D stays finite without load
            softness = d.softness * (1 + (load * d.stiffness_load) ** 2) * losses[1][i]
            friction = ca.fmax(d.friction_unloaded - d.friction_slope * load, d.friction_floor)
            friction = friction * surface / losses[0][i]
            self.stiffness.append(load / softness)
            self.peak.append(friction * load)
            self.ratio.append(1 / (softness * friction))
            self.floor.append(d.stiffness_floor)
            if i == 1:
                self.camber_slip = -n.camber_thrust * inclination * softness

    def memory_stiffness(self, i):
        """Slip stiffness in the relaxation length, with its floor."""
        return ca.fmax(self.stiffness[i], self.floor[i])

    def _use(self, pair):
        """Square of the length of K v/D."""
        return (pair[0] * self.ratio[0]) ** 2 + (pair[1] * self.ratio[1]) ** 2

    def drive(self, sliding, transport):
        """The driving velocity: reversed sliding and the camber slip carried in by rolling."""
        return [-sliding[0], self.camber_slip * ca.fabs(transport) - sliding[1]]

    def deflection_rate(self, zeta, drive, transport, relaxation):
        """E' = (w - zeta R)/(1 + 6 T S/sigma), R = |V_r| + S, S = |w~| |z|^5."""
        z2 = self._use(zeta)
        sliding = ca.sqrt(self._use(drive) * z2 + 1e-24) * z2**2
        through = ca.fabs(transport) + sliding
        return [
            (drive[i] - zeta[i] * through) / (1 + 6 * BELT_TIME * sliding / relaxation[i])
            for i in range(2)
        ]

    def slip(self, zeta, zeta_rate):
        """Contact slip zeta/(1 - |z|^6), with the carcass damping's share in zeta."""
        tau = self.tire.numbers.carcass_damping_time
        felt = [zeta[i] + tau * zeta_rate[i] for i in range(2)]
        margin = LEAST_MARGIN + above(
            1 - self._use(felt) ** 3 - LEAST_MARGIN, self.tire.rounding.margin
        )
        return [felt[0] / margin, felt[1] / margin]

    def force(self, slip, transport, loaded_radius):
        """``(F_x, F_y, M_z, M_y)`` at a slip that includes the camber's."""
        n = self.tire.numbers
        directions = (n.x, n.y)
        scale = [self.ratio[i] * d.normalization for i, d in enumerate(directions)]
        parts = [slip[i] * scale[i] for i in range(2)]
        s = ca.sqrt(parts[0] ** 2 + parts[1] ** 2 + 1e-24)
        curves = []
        for d in directions:
            bs = d.steepness * s
            curves.append(ca.sin(d.shape * ca.atan(bs - d.curvature * (bs - ca.atan(bs)))))
        # beyond the peak the force turns from the normalized slip to the slip itself
        pull = [scale[i] * self.peak[i] for i in range(2)]
        whole = pull[0] + pull[1] + 1e-9
        turned = 2 * above(s - 1, self.tire.rounding.margin) ** 2
        weights = [parts[i] * (whole + turned * pull[1 - i] * curves[1 - i]) for i in range(2)]
        length = ca.sqrt(weights[0] ** 2 + weights[1] ** 2 + (1e-12 * whole) ** 2)
        forces = [self.peak[i] * curves[i] * weights[i] / length for i in range(2)]
        sense = ca.tanh(transport / SENSE_SPEED)
        tau = s * n.trail_slip
        fall = ca.fmax(1 - tau, 0) ** 3 / (1 - tau + tau**2 / 3)
        trail = n.trail_by_root * ca.sqrt(self.load + 1e-9) * fall
        rolling = -n.rolling_resistance * self.load * loaded_radius * sense
        return forces[0], forces[1], -trail * forces[1] * sense, rolling
