"""One pass over time for a whole batch of launches: the planar car with exact kinematics.

The car. A sprung body in the plane (x forward, z up, nose-up pitch positive) carries two point
masses, the axles, each sliding along the body's own vertical axis. Five coordinates: x and z of
the sprung mass's centre, pitch, and the compression of each end from static. With s and c the
sine and cosine of the pitch, an axle `arm` ahead of the centre (the rear one behind it) and `sq`
above it in the body's own axes, Newton and Euler give, in body axes (own derivation; Newton's
laws in a rotating frame as in any mechanics text):

- along the body's vertical axis, the body:   ms Az = sum(S) + Bz
- along it, an axle:   m (Az + arm alpha - sq omega^2 + q'') = V c - S
- across it the axle moves with the body, and its side force goes into the body's balance of
  force and moment, which leaves two equations in Ax and alpha:
  M Ax - mh alpha = Bx + sum(Pf),   J alpha - mh Ax = sum(arm S - sq Pf) + T

with S the suspension force, V the vertical force on the axle, B the outside force on the body, T
the moment of the drive, Pf = V s + m (arm omega^2 + 2 omega q'), mh = sum(m sq),
J = Iyy + sum(m sq^2).

The step. Leapfrog (Stoermer-Verlet): places at half steps, speeds at whole steps, one evaluation
of the forces a step, second order. Three things make it hold at a coarse step:

- the damper is solved implicitly (the implicit midpoint rule for its own stroke), in closed form:
  its steep bleed would otherwise set the step;
- a stop or a tyre that is met within a step acts for its share of that step, so a contact costs
  no order of accuracy, and neither does a gear change that starts between steps;
- speeds in the other forces are extrapolated from the last two steps' accelerations.

Inside the loop time is measured in steps, which saves a multiplication wherever a speed meets a
place. All arrays are made once.

Not modelled: wheel slip as a state of its own, driveline torque on the body, roll.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.launch.parameters import STROKES, Array, Columns

X, Z, PITCH, QF, QR = range(5)
TYRE_F, TYRE_R, BUMP_F, BUMP_R, DROOP_F, DROOP_R = range(6)
SLOWEST_M_S = 0.1
# The least distance over which a contact is spread [m]; a power of two keeps rest exact.
_AT_REST = 2.0**-20
# Speeds half a step ahead, from the accelerations p half a step and one and a half steps back:
# v + (p + 3/4 (p - p_before)) / 2, the two-step Adams-Bashforth formula over half a step.
_LATEST, _BEFORE = 0.875, 0.375


@dataclass(frozen=True)
class Stretch:
    """Consecutive half steps of a batch, with the last one of the stretch before in front.

    Row r stands for the time ``(first + r - 0.5) step_s``; before the start all is at rest.

    place: x, z [m], pitch [rad], front and rear compression [m], (rows, 5, n).
    depth: how far tyres, bump stops and droop stops are pressed [m]; negative is a gap,
        (rows, 6, n), ordered as `TYRE_F` ... `DROOP_R`.
    """

    first: int
    step_s: float
    place: Array
    depth: Array
    _pace: Array
    _force: Array

    def rate(self, part: int) -> Array:
        """Return how fast a tyre or stop is being pressed [m/s], (rows, n)."""
        return self._pace[:, part] / self.step_s

    def force(self, part: int) -> Array:
        """Return what a tyre or stop answers with, as the mean over each step [N], (rows, n)."""
        return self._force[:, part] / self.step_s**2


class Motion:
    """A batch of cars under way. Each call of `advance` moves all of them on by some steps."""

    def __init__(self, cars: Columns, step_s: float, most: int) -> None:
        """Stand `cars` at rest; `most` is the largest number of steps per `advance`."""
        n, h, of = cars.n, step_s, cars.of
        self.cars, self.step_s, self.done = cars, step_s, 0
        self._mass = cars.axles("mf", "mr")
        self._arm = np.array([of["a"], of["a"] - of["L"]])
        self._above = np.array([of["rf"] - of["hs"], of["rr"] - of["hs"]])
        self._static = cars.static_load() * h**2
        self._weight = self._mass * of["g"] * h**2
        self._rate = cars.axles("kf", "kr") * h**2
        tyre_rate = cars.axles("ktf", "ktr") * h**2
        sunk = (self._static + self._weight) / tyre_rate
        self._top = cars.axles("rf", "rr") + sunk
        self._bump = cars.axles("front_bump", "rear_bump")
        self._droop = cars.axles("front_droop", "rear_droop")
        stop_rates = np.array([of["kbs"], of["kbs"], of["kds"], of["kds"]]) * h**2
        stop_dampings = np.array([of["cbs"], of["cbs"], of["cds"], of["cds"]]) * h
        self._half_rates = np.concatenate([tyre_rate, stop_rates]) / 2
        self._dampings = np.concatenate([cars.axles("ctf", "ctr") * h, stop_dampings])
        # What a newton in the strut takes off the speed of its own stroke within half a step.
        self._give = (1 / self._mass + 1 / of["ms"] + self._arm**2 / of["Iyy"]) / 2
        self._valves = tuple(self._valve(stroke) for stroke in STROKES)
        self._place = np.zeros((most + 2, 5, n))
        self._speed = np.zeros((most + 1, 5, n))
        self._depth, self._pace, self._force = (np.zeros((most + 1, 6, n)) for _ in range(3))
        # Accelerations and damper forces of the last step and the one before it.
        self._pulls, self._dampers = np.zeros((2, 5, n)), np.zeros((2, 2, n))
        self._thrusting = np.ones(n)
        self._last = 0
        self._rest_depth = np.concatenate([sunk, -self._bump, -self._droop])
        self._stand(np.ones(n, dtype=bool))

    def halt(self, which: NDArray[np.bool_]) -> None:
        """Stand the cars marked in `which`, (n,), at rest again, without thrust from now on."""
        self._thrusting[which] = 0.0
        self._stand(which)

    def advance(self, steps: int) -> Stretch:
        """Move every car on by `steps` and return what happened.

        The arrays of the answer are overwritten by the next call.
        """
        last = self._last
        self._place[:2] = self._place[last : last + 2].copy()
        for rows in (self._speed, self._depth, self._pace, self._force):
            rows[0] = rows[last]
        with np.errstate(all="ignore"):
            self._advance(steps)
        now = slice(steps + 1)
        stretch = Stretch(
            self.done,
            self.step_s,
            self._place[now],
            self._depth[now],
            self._pace[now],
            self._force[now],
        )
        self.done += steps
        self._last = steps
        return stretch

    def _stand(self, which: NDArray[np.bool_]) -> None:
        still = np.zeros((5, self.cars.n))
        still[Z] = self.cars.of["hs"]
        tyres = np.zeros((6, self.cars.n))
        tyres[:BUMP_F] = self._static + self._weight
        last = self._last
        for rows, rest in (
            (self._place[last], still),
            (self._place[last + 1], still),
            (self._speed[last], 0 * still),
            (self._depth[last], self._rest_depth),
            (self._pace[last], 0 * tyres),
            (self._force[last], tyres),
        ):
            rows[:, which] = rest[:, which]
        self._pulls[:, :, which] = 0.0
        self._dampers[:, :, which] = 0.0

    def _valve(self, stroke: str) -> Array:
        """Return the constants of the damper's closed form, (3, 2 branches, 2 axles, n).

        For a force F the speed is sqrt(F/kb) + max(0, (F - F0)/chs), and within half a step the
        damper takes `give` F off the speed w it would else have had. Each branch is a quadratic
        in sqrt(F), A F + B sqrt(F) = w + C; the lesser of the two roots holds:
        sqrt(F) = sqrt(w/A + C/A + (B/2A)^2) - B/2A.
        """
        numbers, h = self.cars.damper[stroke], self.step_s
        bleed, slope = 1 / np.sqrt(numbers["kb"]), 1 / (numbers["chs"] * h)
        linear = np.array([self._give, self._give + slope])
        half = bleed / (2 * linear)
        opening = np.array([np.zeros_like(slope), numbers["F0"] * h**2 * slope])
        return np.array([1 / linear, opening / linear + half**2, half])

    def _thrust(self, steps: int) -> tuple[Array, Array]:
        """Return launch force and power over the coming steps, in step units, (steps, n)."""
        h, of = self.step_s, self.cars.of
        begin = ((self.done + np.arange(steps)) * h)[:, None]
        ramp = np.minimum(1.0, (begin + h / 2) / np.maximum(of["t_ramp"], h / 2))
        share = np.repeat(self._thrusting[None], steps, axis=0)
        for start, lost, length in self.cars.dips:
            within = np.minimum(begin + h, start + length) - np.maximum(begin, start)
            share *= 1.0 - lost * np.clip(within / h, 0.0, 1.0)
        return of["F_launch"] * h**2 * ramp * share, of["P"] * h**3 * share

    def _advance(self, steps: int) -> None:
        of, n = self.cars.of, self.cars.n
        mass, arm, above, static = self._mass, self._arm, self._above, self._static
        rate, top, bump, droop, give = self._rate, self._top, self._bump, -self._droop, self._give
        half_rates, dampings, weight = self._half_rates, self._dampings, self._weight
        closing, opening = self._valves
        inertia, ratio, grip = of["Iyy"], of["d"] / of["e"], of["mu"]
        per_mass, per_body = 1 / mass, 1 / of["ms"]
        per_all = 1 / (of["ms"] + of["mf"] + of["mr"])
        body_weight = of["ms"] * of["g"] * self.step_s**2
        drag = 0.5 * of["rho"] * of["CdA"]
        windy = bool(drag.any())
        slowest = SLOWEST_M_S * self.step_s
        launch, power = self._thrust(steps)
        pull, before = self._pulls
        damper, damper_before = self._dampers
        add, sub, mul, div, most, root = (
            np.add, np.subtract, np.multiply, np.divide, np.maximum, np.sqrt,
        )  # fmt: skip
        five, ahead = np.empty((5, n)), np.empty((5, n))
        six, end, begin = np.empty((6, n)), np.empty((6, n)), np.empty((6, n))
        roots = np.empty((2, 2, n))
        taken, lever, sq, strut, axle, side, p, p2 = (np.empty((2, n)) for _ in range(8))
        o, s, c, fx, fz, turn, bx, bz, mh, inert, spin2 = (np.empty(n) for _ in range(11))
        give_latest, give_before = 2 * _LATEST * give, 2 * _BEFORE * give
        vx, vz, spin, stroke = ahead[X], ahead[Z], ahead[PITCH], ahead[QF:]
        for i in range(steps):
            place, speed = self._place[i + 1], self._speed[i]
            depth, pace, force = self._depth[i + 1], self._pace[i + 1], self._force[i + 1]
            z, q, qd, loads = place[Z], place[QF:], pace[BUMP_F:DROOP_F], force[:BUMP_F]
            mul(pull, _LATEST, out=ahead)
            mul(before, _BEFORE, out=five)
            sub(ahead, five, out=ahead)
            add(ahead, speed, out=ahead)
            pull, before, damper, damper_before = before, pull, damper_before, damper

            # Dampers: the stroke's speed without them, then the closed form.
            mul(give_latest, damper_before, out=p)
            add(stroke, p, out=p)
            mul(give_before, damper, out=p2)
            sub(p, p2, out=p)
            valve = np.where(p > 0.0, closing, opening)
            np.abs(p, out=p2)
            mul(valve[0], p2, out=roots)
            add(roots, valve[1], out=roots)
            root(roots, out=roots)
            sub(roots, valve[2], out=roots)
            np.minimum(roots[0], roots[1], out=p2)
            mul(p2, p2, out=p2)
            np.copysign(p2, p, out=damper)
            mul(give, damper, out=taken)
            sub(p, taken, out=qd)

            # Where the axles are: lever and height from the body's centre, in the world.
            np.sin(place[PITCH], out=s)
            np.cos(place[PITCH], out=c)
            add(above, q, out=sq)
            mul(arm, c, out=lever)
            mul(sq, s, out=p)
            sub(lever, p, out=lever)
            mul(arm, s, out=p)
            mul(sq, c, out=p2)
            add(p, p2, out=p)
            add(p, z, out=p)
            sub(top, p, out=depth[:BUMP_F])
            mul(spin, lever, out=p)
            mul(qd, c, out=p2)
            add(p, p2, out=p)
            add(p, vz, out=p)
            np.negative(p, out=pace[:BUMP_F])
            sub(q, bump, out=depth[BUMP_F:DROOP_F])
            sub(droop, q, out=depth[DROOP_F:])
            np.negative(qd, out=pace[DROOP_F:])

            # Tyres and stops: depth at the step's end and begin, share of the step, mean force.
            np.abs(pace, out=six)
            add(six, _AT_REST, out=six)
            mul(six, 0.5, out=begin)
            add(depth, begin, out=end)
            most(end, 0.0, out=end)
            sub(depth, begin, out=begin)
            most(begin, 0.0, out=begin)
            add(end, begin, out=force)
            sub(end, begin, out=end)
            div(end, six, out=end)
            mul(force, half_rates, out=force)
            mul(dampings, pace, out=six)
            add(force, six, out=force)
            mul(force, end, out=force)
            most(force, 0.0, out=force)

            mul(rate, q, out=strut)
            add(strut, static, out=strut)
            add(strut, damper, out=strut)
            add(strut, force[BUMP_F:DROOP_F], out=strut)
            sub(strut, force[DROOP_F:], out=strut)

            # Drive: (fx, fz) on the body at the ground below the rear axle, -fz on the axle.
            most(vx, slowest, out=o)
            div(power[i], o, out=fx)
            np.minimum(fx, launch[i], out=fx)
            mul(grip, loads[1], out=o)
            np.minimum(fx, o, out=fx)
            mul(fx, ratio, out=fz)
            mul(fx, z, out=turn)
            mul(fz, lever[1], out=o)
            add(turn, o, out=turn)
            sub(loads, weight, out=axle)
            sub(axle[1], fz, out=axle[1])
            if windy:
                np.abs(vx, out=o)
                mul(o, vx, out=o)
                mul(o, drag, out=o)
                sub(fx, o, out=fx)
            sub(fz, body_weight, out=fz)
            mul(fx, c, out=bx)
            mul(fz, s, out=o)
            add(bx, o, out=bx)
            mul(fz, c, out=bz)
            mul(fx, s, out=o)
            sub(bz, o, out=bz)

            # Side: what the axles' own motion asks of the body across its vertical axis.
            mul(spin, spin, out=spin2)
            mul(arm, spin2, out=side)
            add(spin, spin, out=o)
            mul(qd, o, out=p)
            add(side, p, out=side)
            mul(side, mass, out=side)
            mul(axle, s, out=p)
            add(side, p, out=side)

            # Two equations for pitch and the body's long axis.
            mul(mass, sq, out=p)
            add(p[0], p[1], out=mh)
            mul(p, sq, out=p)
            add(p[0], p[1], out=inert)
            add(inert, inertia, out=inert)
            mul(arm, strut, out=p)
            mul(sq, side, out=p2)
            sub(p, p2, out=p)
            add(turn, p[0], out=turn)
            add(turn, p[1], out=turn)
            add(bx, side[0], out=bx)
            add(bx, side[1], out=bx)
            mul(bx, per_all, out=bx)
            mul(mh, bx, out=o)
            add(turn, o, out=turn)
            mul(mh, per_all, out=o)
            mul(o, mh, out=mh)
            sub(inert, mh, out=inert)
            alpha = pull[PITCH]
            div(turn, inert, out=alpha)
            mul(o, alpha, out=o)
            add(bx, o, out=bx)
            add(bz, strut[0], out=bz)
            add(bz, strut[1], out=bz)
            mul(bz, per_body, out=bz)

            # Back into the world, and the strokes' own accelerations.
            mul(bx, c, out=fx)
            mul(bz, s, out=o)
            sub(fx, o, out=pull[X])
            mul(bx, s, out=fx)
            mul(bz, c, out=o)
            add(fx, o, out=pull[Z])
            mul(axle, c, out=axle)
            sub(axle, strut, out=axle)
            mul(axle, per_mass, out=axle)
            sub(axle, bz, out=axle)
            mul(arm, alpha, out=p)
            sub(axle, p, out=axle)
            mul(sq, spin2, out=p)
            add(axle, p, out=pull[QF:])

            add(speed, pull, out=self._speed[i + 1])
            add(place, self._speed[i + 1], out=self._place[i + 2])
        if steps % 2:
            self._pulls = self._pulls[::-1].copy()
            self._dampers = self._dampers[::-1].copy()
