"""The launch in a general-purpose multibody engine (mujoco): bodies and joints described to it,
the forces of plain.py handed to it at every stage of its own Runge-Kutta step.

The engine is told nothing of the equations in the package: it builds its own mass matrix, and its
own Jacobians carry each force to the joints.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import mujoco
import numpy as np
from numpy.typing import NDArray

from tests.support.launch.plain import (
    Forces,
    History,
    Params,
    bar_push,
    forces,
    slip_after,
    slip_thrust,
    sunk,
)

Array = NDArray[np.float64]

_MODEL = """
<mujoco>
  <compiler inertiafromgeom="false" boundmass="0" boundinertia="0"/>
  <option timestep="{step}" gravity="0 0 -{g}" integrator="{integrator}">
    <flag contact="disable" constraint="disable"/>
  </option>
  <worldbody>
    <body name="body" pos="0 0 {hs}">
      <joint type="slide" axis="1 0 0"/>
      <joint type="slide" axis="0 0 1"/>
      <joint type="hinge" axis="0 -1 0"/>
      <inertial pos="0 0 0" mass="{ms}" diaginertia="{Iyy} {Iyy} {Iyy}"/>
      <body name="front" pos="{a} 0 {front_above}">
        <joint type="slide" axis="0 0 1"/>
        <inertial pos="0 0 0" mass="{mf}" diaginertia="1e-6 1e-6 1e-6"/>
      </body>
      <body name="rear" pos="-{b} 0 {rear_above}">
        <joint type="slide" axis="0 0 1"/>
        <inertial pos="0 0 0" mass="{mr}" diaginertia="1e-6 1e-6 1e-6"/>
      </body>
    </body>{tread}
  </worldbody>
</mujoco>
"""
# Wheels and drive as a mass at the tread, on a slide of its own.
_TREAD = """
    <body name="tread">
      <joint type="slide" axis="1 0 0"/>
      <inertial pos="0 0 0" mass="{slip_mass}" diaginertia="1 1 1"/>
    </body>"""
_BODY, _FRONT, _REAR = 1, 2, 3


class Engine:
    """One car in the engine."""

    def __init__(self, params: Params, step_s: float, integrator: str = "RK4") -> None:
        p = self.p = params
        self.model = mujoco.MjModel.from_xml_string(
            _MODEL.format(
                **{name: repr(value) for name, value in p.items() if isinstance(value, float)},
                b=repr(p["L"] - p["a"]),
                front_above=repr(p["rf"] - p["hs"]),
                rear_above=repr(p["rr"] - p["hs"]),
                step=repr(step_s),
                integrator=integrator,
                tread=_TREAD.format(**p) if "slip_mass" in p else "",
            )
        )
        self.data = mujoco.MjData(self.model)
        self._none = np.zeros(3)
        self._slip = 0.0

    @contextmanager
    def driven(self) -> Iterator[None]:
        """Hand the engine the car's forces for as long as the block lasts."""
        mujoco.set_mjcb_passive(self._passive)
        try:
            yield
        finally:
            mujoco.set_mjcb_passive(None)

    def _bar(self, data: mujoco.MjData) -> tuple[Array, float]:
        """Return where the wheelie bars' wheel is, and its vertical speed by the Jacobian."""
        p, jacobian = self.p, np.zeros((3, self.model.nv))
        out = np.array([p["a"] - p["L"] - p["bar_behind"], 0.0, p["bar_height"] - p["hs"]])
        point = data.xpos[_BODY] + data.xmat[_BODY].reshape(3, 3) @ out
        mujoco.mj_jac(self.model, data, jacobian, None, point, _BODY)
        return point, float(jacobian[2] @ data.qvel)

    def _acting(self, data: mujoco.MjData) -> tuple[Forces, float]:
        """Return the forces now, and the front axle's vertical speed."""
        v, z = data.qvel, data.xpos
        pitch_rate, lean = v[2], data.xmat[_BODY]
        speeds = []
        for axle, stroke in ((_FRONT, 3), (_REAR, 4)):
            # The hinge turns about -y, so the speed it gives has z component rate * (x - x_body).
            speeds.append(v[1] + pitch_rate * (z[axle, 0] - z[_BODY, 0]) + v[stroke] * lean[8])
        q = data.qpos
        acting = forces(
            self.p,
            data.time,
            float(v[0]),
            (float(q[3]), float(q[4])),
            (float(v[3]), float(v[4])),
            (float(z[_FRONT, 2]), float(z[_REAR, 2])),
            (float(speeds[0]), float(speeds[1])),
        )
        if "slip_mass" in self.p:
            fx, _ = slip_thrust(self.p, data.time, self._slip, v[5], v[0], acting.tyre[1])
            acting = replace(acting, fx=fx)
        return acting, float(speeds[0])

    def _passive(self, model: mujoco.MjModel, data: mujoco.MjData) -> None:
        acting, _ = self._acting(data)
        fz = acting.fx * self.p["d"] / self.p["e"]
        out, at = data.qfrc_passive, data.xpos
        out[3] -= acting.strut[0]
        out[4] -= acting.strut[1]
        for body, force, point in (
            (_FRONT, (0.0, 0.0, acting.tyre[0]), at[_FRONT]),
            (_REAR, (0.0, 0.0, acting.tyre[1] - fz), at[_REAR]),
            (_BODY, (acting.fx, 0.0, fz), np.array([at[_REAR, 0], 0.0, 0.0])),
            (_BODY, (-acting.drag, 0.0, 0.0), at[_BODY]),
        ):
            mujoco.mj_applyFT(model, data, np.array(force), self._none, point, body, out)
        if "slip_mass" in self.p:
            v = data.qvel
            _, left = slip_thrust(self.p, data.time, self._slip, v[5], v[0], acting.tyre[1])
            out[5] += left
        if "bar_rate" in self.p:
            point, speed = self._bar(data)
            push = np.array([0.0, 0.0, bar_push(self.p, point[2], speed)])
            mujoco.mj_applyFT(model, data, push, self._none, point, _BODY, out)

    def _let_slip(self) -> None:
        """Move the slip on by half a step; it stands still while the engine steps."""
        if "slip_mass" in self.p:
            v = self.data.qvel
            self._slip = slip_after(self.p, self._slip, v[5], v[0], self.model.opt.timestep / 2)

    def run(self) -> History:
        """Let the car launch, and keep its history at every step."""
        p, data = self.p, self.data
        steps = round(p["t_end"] / self.model.opt.timestep)
        rows = np.zeros((17, steps + 1))
        with self.driven():
            for i in range(steps + 1):
                mujoco.mj_forward(self.model, data)
                acting, speed = self._acting(data)
                q, v = data.qpos, data.qvel
                push, height = 0.0, np.nan
                if "bar_rate" in p:
                    at, rate = self._bar(data)
                    push, height = bar_push(p, at[2], rate), at[2]
                point = p["hs"] + q[1] + p["a"] * np.sin(q[2]) + (p["rf"] - p["hs"]) * np.cos(q[2])
                rows[:, i] = (
                    *(data.time, q[0], v[0], point - p["rf"], q[2], q[3], q[4], v[3]),
                    *(data.xpos[_FRONT, 2] - p["rf"] - sunk(p)[0], speed),
                    *(*acting.tyre, acting.bump, acting.droop, push, height),
                    self._slip if "slip_mass" in p else np.nan,
                )
                self._let_slip()
                mujoco.mj_step(self.model, data)
                self._let_slip()
        return History(*rows)
