"""The multibody engine with the rear axle on its own links: four rods, or a bar on a pivot.

The axle's housing moves freely in the plane and is held by nothing but the rods, stiff and
massless, which are tendons of the engine. The thrust pushes on the housing where the tyre meets
the ground; there is no instant centre anywhere in it.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import hypot

import mujoco
import numpy as np

from tests.support.launch.engine import Engine
from tests.support.launch.plain import Forces, Params, sunk, thrust_cap

Ends = Mapping[str, tuple[float, float]]

_MODEL = """
<mujoco>
  <compiler inertiafromgeom="false" boundmass="0" boundinertia="0"/>
  <option timestep="{step}" gravity="0 0 -{g}" integrator="RK4">
    <flag contact="disable" constraint="disable"/>
  </option>
  <worldbody>
    <body name="body" pos="0 0 {hs}">
      <joint type="slide" axis="1 0 0"/>
      <joint type="slide" axis="0 0 1"/>
      <joint type="hinge" axis="0 -1 0"/>
      <inertial pos="0 0 0" mass="{ms}" diaginertia="{Iyy} {Iyy} {Iyy}"/>
      {on_body}
      <body name="front" pos="{a} 0 {front_above}">
        <joint type="slide" axis="0 0 1"/>
        <inertial pos="0 0 0" mass="{mf}" diaginertia="1e-6 1e-6 1e-6"/>
      </body>
      <body name="rear" pos="-{b} 0 {rear_above}">
        <joint type="slide" axis="0 0 1"/>
        <joint type="slide" axis="1 0 0"/>
        <joint type="hinge" axis="0 -1 0"/>
        <inertial pos="0 0 0" mass="{mr}" diaginertia="{housing} {housing} {housing}"/>
        {on_axle}
      </body>
    </body>
  </worldbody>
  <tendon>{rods}</tendon>
</mujoco>
"""
_SITE = '<site name="{name}" pos="{x!r} 0 {z!r}"/>'
_ROD = (
    '<spatial springlength="{long!r}" stiffness="{rate!r}" damping="{damping!r}">'
    '<site site="{front}"/><site site="{rear}"/></spatial>'
)
# Half a millimetre at 40 kN, and near a fifth of critical for the axle on two of them.
ROD_RATE, ROD_DAMPING = 8e7, 4e4
HOUSING_INERTIA = 8.0
_BODY, _FRONT, _REAR = 1, 2, 3


class LinkedEngine(Engine):
    """One car in the engine, its rear axle on rods between places (ahead, height)."""

    def __init__(self, params: Params, ends: Ends, step_s: float) -> None:
        """Take the places of link ends [m] ahead of the axle and above the ground.

        ends: ``upper front``, ``upper rear``, ``lower front``, ``lower rear``; or ``pivot`` alone,
        of a bar fixed to the axle, which two rods from it to the axle make as stiff.
        """
        p = self.p = params
        if "pivot" in ends:
            rods = {"upper": (ends["pivot"], (0.0, p["rr"] + 0.1))}
            rods |= {"lower": (ends["pivot"], (0.0, p["rr"] - 0.1))}
        else:
            rods = {row: (ends[f"{row} front"], ends[f"{row} rear"]) for row in ("upper", "lower")}
        back = p["L"] - p["a"]
        on_body, on_axle, made = [], [], []
        for row, ((x0, z0), (x1, z1)) in rods.items():
            on_body.append(_SITE.format(name=f"{row}f", x=x0 - back, z=z0 - p["hs"]))
            on_axle.append(_SITE.format(name=f"{row}r", x=x1, z=z1 - p["rr"]))
            long = hypot(x0 - x1, z0 - z1)
            rod = {"long": long, "rate": ROD_RATE, "damping": ROD_DAMPING}
            made.append(_ROD.format(front=f"{row}f", rear=f"{row}r", **rod))
        self.model = mujoco.MjModel.from_xml_string(
            _MODEL.format(
                **{name: repr(value) for name, value in p.items() if isinstance(value, float)},
                b=repr(back),
                front_above=repr(p["rf"] - p["hs"]),
                rear_above=repr(p["rr"] - p["hs"]),
                housing=HOUSING_INERTIA,
                step=repr(step_s),
                on_body="".join(on_body),
                on_axle="".join(on_axle),
                rods="".join(made),
            )
        )
        self.data = mujoco.MjData(self.model)
        self._none = np.zeros(3)
        self._slip = 0.0

    def _acting(self, data: mujoco.MjData) -> tuple[Forces, float]:
        acting, front = super()._acting(data)
        # The axle's own slide along the body is not among the speeds of the other engine.
        p, jacobian = self.p, np.zeros((3, self.model.nv))
        mujoco.mj_jac(self.model, data, jacobian, None, data.xpos[_REAR], _REAR)
        depth = sunk(p)[1] + p["rr"] - float(data.xpos[_REAR, 2])
        push = p["ktr"] * depth - p["ctr"] * float(jacobian[2] @ data.qvel)
        load = max(0.0, push) if depth > 0 else 0.0
        fx = min(thrust_cap(p, data.time, float(data.qvel[0])), p["mu"] * load)
        return replace(acting, tyre=(acting.tyre[0], load), fx=fx), front

    def _passive(self, model: mujoco.MjModel, data: mujoco.MjData) -> None:
        acting, _ = self._acting(data)
        out, at = data.qfrc_passive, data.xpos
        out[3] -= acting.strut[0]
        out[4] -= acting.strut[1]
        ground = np.array([at[_REAR, 0], 0.0, 0.0])
        for body, force, point in (
            (_FRONT, (0.0, 0.0, acting.tyre[0]), at[_FRONT]),
            (_REAR, (acting.fx, 0.0, acting.tyre[1]), ground),
            (_BODY, (-acting.drag, 0.0, 0.0), at[_BODY]),
        ):
            mujoco.mj_applyFT(model, data, np.array(force), self._none, point, body, out)
