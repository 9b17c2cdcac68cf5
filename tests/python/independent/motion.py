"""The car's motion in two sets of variables: earth coordinates, and speeds in body axes.

Both offer the same few operations, so that bodies, contacts and forces are written once:
``velocity`` of a place, ``turning`` of an orientation, ``height`` of a place above z = 0, the
normal ``up`` of the road, and the ten ``speeds`` in which virtual powers are linear.
"""

from __future__ import annotations

import casadi as ca

from .turning import E_Z, about_x, about_y, about_z, angular_velocity, rate_of


class EarthMotion:
    """Generalized coordinates x, y, z, yaw, pitch, roll, s1..s4 and their rates; earth axes."""

    def __init__(self):
        self.q = ca.SX.sym("q", 10)
        self.speeds = ca.SX.sym("qd", 10)
        self.steer = ca.SX.sym("steer", 2)
        self.steer_rate = ca.SX.sym("steer_rate", 2)
        self.steer_acceleration = ca.SX.sym("steer_acceleration", 2)
        self.origin = self.q[:3]
        self.attitude = about_z(self.q[3]) @ about_y(self.q[4]) @ about_x(self.q[5])
        self.travels = self.q[6:]
        self.travel_rates = self.speeds[6:]
        self.up = E_Z
        self.coordinates = ca.vertcat(self.q, self.steer)
        self.rates = ca.vertcat(self.speeds, self.steer_rate)

    def velocity(self, place):
        """Of a place."""
        return rate_of(place, self.coordinates, self.rates)

    def turning(self, orientation):
        """Angular velocity of a body."""
        return angular_velocity(orientation, self.coordinates, self.rates)

    def height(self, place):
        """Above z = 0."""
        return place[2]

    def body_speeds(self):
        """The ten speeds of the state: velocity of O and angular velocity in b, rates of travel."""
        v = self.attitude.T @ self.speeds[:3]
        w = self.attitude.T @ self.turning(self.attitude)
        return ca.vertcat(v, w, self.travel_rates)


class BodyMotion:
    """Motion by speeds v, om in body axes and s'; attitude by height of O and road normal in b."""

    def __init__(self):
        self.speeds = ca.SX.sym("w", 10)
        self.travels = ca.SX.sym("s", 4)
        self.steer = ca.SX.sym("steer", 2)
        self.steer_rate = ca.SX.sym("steer_rate", 2)
        self.steer_acceleration = ca.SX.sym("steer_acceleration", 2)
        self.origin_height = ca.SX.sym("z")
        self.up = ca.SX.sym("k", 3)
        self.origin = ca.SX.zeros(3)
        self.attitude = ca.SX.eye(3)
        self.travel_rates = self.speeds[6:]
        self.coordinates = ca.vertcat(self.travels, self.steer)
        self.rates = ca.vertcat(self.travel_rates, self.steer_rate)

    def velocity(self, place):
        """Of a place."""
        v, w = self.speeds[:3], self.speeds[3:6]
        return v + ca.cross(w, place) + rate_of(place, self.coordinates, self.rates)

    def turning(self, orientation):
        """Angular velocity of a body."""
        return self.speeds[3:6] + angular_velocity(orientation, self.coordinates, self.rates)

    def height(self, place):
        """Above z = 0."""
        return self.origin_height + ca.dot(self.up, place)

    def body_speeds(self):
        """The ten speeds themselves."""
        return self.speeds
