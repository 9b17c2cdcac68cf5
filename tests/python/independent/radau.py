"""Periodic collocation at two Radau points an interval.

On each interval a state is a quadratic through its values at the interval's start and at the points
1/3 and 1 of its length; it satisfies the equations at those two points (Hairer and Wanner, *Solving
Ordinary Differential Equations II*, 1996, section IV.5: Radau IIA of order three). The end of one
interval is the start of the next, and the last point that of the first interval.
"""

from __future__ import annotations

import casadi as ca
import numpy as np

POINTS = np.array([1 / 3, 1.0])
_NODES = np.array([0.0, *POINTS])


def _lagrange(j):
    """Coefficients of the quadratic that is 1 at node ``j`` and 0 at the others."""
    others = np.delete(_NODES, j)
    return np.poly(others) / np.prod(_NODES[j] - others)


def slopes(fractions):
    """Slopes at fractions of an interval, per length, from the values at 0, 1/3 and 1 (n x 3)."""
    return np.stack([np.polyval(np.polyder(_lagrange(j)), fractions) for j in range(3)], axis=1)


def interpolation(fractions):
    """Values at fractions of an interval from the values at 0, 1/3 and 1 (n x 3)."""
    return np.stack([np.polyval(_lagrange(j), fractions) for j in range(3)], axis=1)


def nodes(interval, count):
    """The points that carry the three values of an interval, periodic with ``count`` points."""
    return [(2 * interval - 1) % count, 2 * interval, 2 * interval + 1]


class Collocation:
    """Collocation: local variables of all points as a linear map of the unknowns.

    Unknowns: the states of every point, one control of every point, one parameter. Local variables
    of a point: its states, their slopes, its control, the parameter. With residual and Hessian
    known for one point, the whole Jacobian is ``diag(J_p) A`` and the whole Hessian ``A' diag(H_p)
    A``, A constant and sparse.
    """

    def __init__(self, intervals, length, states, state_units, control_unit):
        self.points, self.states = 2 * intervals, states
        self.size = self.points * (states + 1) + 1
        self.local = 2 * states + 2
        slope = slopes(POINTS) / length
        rows, columns, entries = [], [], []
        for point in range(self.points):
            interval, j = divmod(point, 2)
            own, base = np.arange(states), point * self.local
            rows.append(base + own)
            columns.append(point * states + own)
            entries.append(np.ones(states))
            for node, at in enumerate(nodes(interval, self.points)):
                rows.append(base + states + own)
                columns.append(at * states + own)
                entries.append(np.full(states, slope[j, node]))
            rows.append([base + 2 * states, base + 2 * states + 1])
            columns.append([self.points * states + point, self.size - 1])
            entries.append([1.0, 1.0])
        triplet = [np.concatenate(a) for a in (rows, columns, entries)]
        self.units = self.pack(
            np.tile(state_units[:, None], self.points), np.full(self.points, control_unit), 1.0
        )
        self.spread = ca.DM.triplet(
            [int(i) for i in triplet[0]],
            [int(i) for i in triplet[1]],
            ca.DM(triplet[2]),
            self.points * self.local,
            self.size,
        ) @ ca.diag(ca.DM(self.units))

    def pack(self, states, controls, parameter):
        """Unknowns from states (states x points), controls and the parameter."""
        return np.concatenate([np.asarray(states).T.ravel(), controls, [parameter]])

    def unpack(self, unknowns):
        """``(states, controls, parameter)`` of a solution."""
        split = self.points * self.states
        return (
            unknowns[:split].reshape(self.points, self.states).T,
            unknowns[split:-1],
            unknowns[-1],
        )

    def locals(self, x):
        """Local variables, a column a point, of scaled unknowns."""
        return ca.reshape(self.spread @ x, self.local, self.points)

    def jacobian(self, sparsity, columns):
        """Of all residuals, from the Jacobians of the points beside each other."""
        return self._diagonal(sparsity, columns) @ self.spread

    def hessian(self, sparsity, columns):
        """Of the Lagrangian's residuals, from the Hessians of the points beside each other."""
        return self.spread.T @ self._diagonal(sparsity, columns) @ self.spread

    def _diagonal(self, sparsity, columns):
        blocks = ca.diagcat(*[ca.DM(sparsity, 1)] * self.points).sparsity()
        return ca.MX(blocks, columns.nz[:])
