"""Inertia by Lagrange's method, and by the Euler-Poincare equations in body axes.

The wheels' turning. With the angle phi_i of a wheel relative to its carrier as an honest coordinate
the axial part of its kinetic energy is 1/2 I Omega^2 with Omega = phi' + n.w (w the carrier's
angular velocity). phi is cyclic: its momentum is I Omega, and I Omega' is the axial torque on the
wheel. Routh's function, the energy less momentum times phi', leaves for the other coordinates,
besides terms without them, ``I Omega (n.w)`` with I Omega held constant while differentiating.
Lagrange's operator makes of it just the gyroscopic couple I Omega (w x n) that the carrier must
supply, and (from the change of I Omega) the axial torque once more, which cancels the axial torque
in the virtual power of a carrier on which the wheel is thought locked. So "absolute spin as an
independent speed, axial torques on the wheel only, and the couple I Omega (w x n) taken from the
carrier" is exact. ``tests/test_equations.py`` checks it against the Lagrangian with the angles phi
as coordinates. The rear housing that winds up on its carrier is one more such rotor.

Time enters through the steer angles, prescribed with their rates and accelerations.
"""

from __future__ import annotations

import casadi as ca

from .bodies import kinetic_energy


def _routhian(motion, bodies, rotors, spin_momenta):
    """``(kinetic energy of the carriers, the same + sum of I Omega n.w)``."""
    velocities = [motion.velocity(body.center) for body in bodies]
    turnings = [motion.turning(body.orientation) for body in bodies]
    energy = kinetic_energy(bodies, velocities, turnings)
    gyroscopic = 0
    for i, rotor in enumerate(rotors):
        gyroscopic += spin_momenta[i] * ca.dot(rotor.axis, turnings[rotor.carrier])
    return energy, energy + gyroscopic


def lagrange(motion, bodies, rotors, spin_momenta):
    """``(M, h)`` of ``M q'' + h = Q`` in earth coordinates."""
    energy, total = _routhian(motion, bodies, rotors, spin_momenta)
    mass_matrix = ca.jacobian(ca.gradient(energy, motion.speeds), motion.speeds)
    momenta = ca.gradient(total, motion.speeds)
    # their rates but for the accelerations q''
    coordinates = ca.vertcat(motion.coordinates, motion.steer_rate)
    rates = ca.vertcat(motion.rates, motion.steer_acceleration)
    inertia = ca.jtimes(momenta, coordinates, rates) - ca.gradient(total, motion.q)
    return mass_matrix, inertia


def poincare(motion, bodies, rotors, spin_momenta, accelerations):
    """``M w' + h`` of ``M w' + h = Q`` for the speeds in body axes and their rates ``w'``.

    p' + om x p = F and L' + om x L + v x p = M with p, L the gradients of the energy by v and om.
    """
    _, total = _routhian(motion, bodies, rotors, spin_momenta)
    speeds = motion.speeds
    momenta = ca.gradient(total, speeds)
    coordinates = ca.vertcat(motion.coordinates, motion.steer_rate, speeds)
    rates = ca.vertcat(motion.rates, motion.steer_acceleration, accelerations)
    inertia = ca.jtimes(momenta, coordinates, rates)
    v, w = speeds[:3], speeds[3:6]
    p, spin = momenta[:3], momenta[3:6]
    return inertia + ca.vertcat(
        ca.cross(w, p), ca.cross(w, spin) + ca.cross(v, p), -ca.gradient(total, motion.travels)
    )
