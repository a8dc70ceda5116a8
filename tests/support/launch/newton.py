"""Newton's laws for the three bodies, with the axles' side forces kept as unknowns.

World axes; seven linear equations for five accelerations and two side forces, solved as they
stand. For a general-purpose integrator; forces from plain.py.
"""

from math import cos, sin

import numpy as np
from numpy.typing import NDArray

from tests.support.launch.plain import Params, forces

Array = NDArray[np.float64]


def derivative(t: float, y: Array, p: Params) -> Array:
    """Return d/dt of (x, z, pitch, qf, qr, and their rates)."""
    z, pitch, q = y[1], y[2], y[3:5]
    vx, vz, spin, qd = y[5], y[6], y[7], y[8:10]
    s, c = sin(pitch), cos(pitch)
    along, up = np.array([c, s]), np.array([-s, c])
    mass = (p["mf"], p["mr"])
    arm = (p["a"], p["a"] - p["L"])
    above = (p["rf"] - p["hs"] + q[0], p["rr"] - p["hs"] + q[1])
    offset = [arm[i] * along + above[i] * up for i in range(2)]
    speed = [
        np.array([vx, vz]) + spin * np.array([-offset[i][1], offset[i][0]]) + qd[i] * up
        for i in range(2)
    ]
    acting = forces(
        p, t, vx, (q[0], q[1]), (qd[0], qd[1]),
        (z + offset[0][1], z + offset[1][1]), (speed[0][1], speed[1][1]),
    )  # fmt: skip
    fz = acting.fx * p["d"] / p["e"]
    matrix, right = np.zeros((7, 7)), np.zeros(7)
    body = np.array([acting.fx - acting.drag, fz - p["ms"] * p["g"]])
    moment = offset[1][0] * fz + z * acting.fx
    matrix[0, 0] = matrix[1, 1] = p["ms"]
    matrix[2, 2] = p["Iyy"]
    for i in range(2):
        strut, side = acting.strut[i] * up, 5 + i
        body = body + strut
        moment += offset[i][0] * strut[1] - offset[i][1] * strut[0]
        # The body pushes the axle along its own long axis; the axle pushes back.
        matrix[0:2, side] = along
        matrix[2, side] = offset[i][0] * along[1] - offset[i][1] * along[0]
        row = slice(3 + 2 * i, 5 + 2 * i)
        matrix[row, 0:2] = mass[i] * np.eye(2)
        matrix[row, 2] = mass[i] * np.array([-offset[i][1], offset[i][0]])
        matrix[row, 3 + i] = mass[i] * up
        matrix[row, side] = -along
        turning = -(spin**2) * offset[i] - 2 * spin * qd[i] * along
        load = acting.tyre[i] - mass[i] * p["g"] - (fz if i else 0.0)
        right[row] = np.array([0.0, load]) - strut - mass[i] * turning
    right[0:2], right[2] = body, moment
    return np.concatenate([y[5:10], np.linalg.solve(matrix, right)[:5]])
