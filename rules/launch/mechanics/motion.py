"""One pass over time for a whole batch of launches: the planar car with exact kinematics.

The car. A sprung body in the plane (x forward, z up, nose-up pitch positive) carries two point
masses, the axles, each sliding along the body's own vertical axis. Five coordinates: x and z of
the sprung mass's centre, pitch, and the compression of each end from static. With s and c the
sine and cosine of the pitch, an axle `arm` ahead of the centre (the rear one behind it) and `sq`
above it in the body's own axes, Newton and Euler give, in body axes (own derivation; Newton's
laws in a rotating frame as in any mechanics text):

- along the body's vertical axis, the body:
  (1) ms Az = sum(S) + Bz
- along it, an axle:
  (2) m (Az + arm alpha - sq omega^2 + q'') = V c - S
- across it the axle moves with the body, and its side force goes into the body's balance of
  force and moment, which leaves two equations in Ax and alpha:
  (3) M Ax - mh alpha = Bx + sum(Pf)
  (4) J alpha - mh Ax = sum(arm S - sq Pf) + T

with S the suspension force, V the vertical force on the axle, B the outside force on the body, T
the moment of the drive, and

  (5) Pf = V s + m (arm omega^2 + 2 omega q')
  (6) mh = sum(m sq)
  (7) J = Iyy + sum(m sq^2)

From (3) and (4), with X = Bx + sum(Pf):

  (8) alpha = (T + sum(arm S - sq Pf) + mh X / M) / (J - mh^2 / M)
  (9) Ax = (X + mh alpha) / M

The step. Leapfrog (Stoermer-Verlet), one evaluation of the forces a step, second order:

  (10) v(n + 1) = v(n) + h a(n + 1/2)
  (11) r(n + 3/2) = r(n + 1/2) + h v(n + 1)

places r at half steps, speeds v at whole steps. Three things make it hold at a coarse step:

- the damper is solved implicitly (the implicit midpoint rule for its own stroke), in closed form:
  its steep bleed would otherwise set the step. With w the stroke's speed without it and g what a
  newton takes off that speed within half a step:

  (12) q' = w - g F(q')

- a stop or a tyre of rate k and damping c that is met within a step acts for its share of that
  step, so a contact costs no order of accuracy, and neither does a gear change that starts between
  steps. With d0 and d1 its least and its greatest depth in the step, not below 0, d' its speed:

  (13) N = (k (d0 + d1) / 2 + c d') (d1 - d0) / |d' h|, not below 0

- speeds in the other forces are extrapolated half a step from the last two accelerations:

  (14) v(n + 1/2) = v(n) + h (7/8 a(n - 1/2) - 3/8 a(n - 3/2))

Inside the loop time is measured in steps, which saves a multiplication wherever a speed meets a
place. All arrays are made once.

Not modelled: driveline torque on the body, roll; the rear tyres' slip, and how the instant centre
wanders, only where they are given.
"""

import numpy as np
from numpy.typing import NDArray

from rules.launch.mechanics.aligned import aligned, on_line
from rules.launch.mechanics.bars import AT_REST, Bars
from rules.launch.mechanics.links import Links
from rules.launch.mechanics.parameters import STROKES, Array, Columns
from rules.launch.mechanics.slip import TyreSlip
from rules.launch.mechanics.stretch import BUMP_F, DROOP_F, PITCH, QF, Stretch, X, Z
from rules.launch.mechanics.strokes import family_constants, measured_roots

SLOWEST_M_S = 0.1
# Speeds half a step ahead, from the accelerations p half a step and one and a half steps back:
# v + (p + 3/4 (p - p_before)) / 2, the two-step Adams-Bashforth formula over half a step.
_LATEST, _BEFORE = 0.875, 0.375


class Motion:
    """A batch of cars under way. Each call of `advance` moves all of them on by some steps."""

    def __init__(self, cars: Columns, step_s: float, most: int) -> None:
        """Stand `cars` at rest; `most` is the largest number of steps per `advance`."""
        n, h, of = cars.n, step_s, cars.of
        self.cars, self.step_s, self.done = cars, step_s, 0
        mass = cars.axles("mf", "mr")
        arm = np.array([of["a"], of["a"] - of["L"]])
        static, weight = cars.static_load() * h**2, mass * of["g"] * h**2
        tyre_rate = cars.axles("ktf", "ktr") * h**2
        sunk = (static + weight) / tyre_rate
        stop_rates = np.array([of["kbs"], of["kbs"], of["kds"], of["kds"]]) * h**2
        stop_dampings = np.array([of["cbs"], of["cbs"], of["cds"], of["cds"]]) * h
        # What a newton in the strut takes off the speed of its own stroke within half a step.
        give = (1 / mass + 1 / of["ms"] + arm**2 / of["Iyy"]) / 2
        closing, opening = (family_constants(cars.damper[stroke], give, h) for stroke in STROKES)
        self._static, self._weight, self._sunk = static, weight, sunk
        self._measured = measured_roots(cars, closing, opening, give, h)
        self._numbers = tuple(
            on_line(one)
            for one in (
                *(mass, arm, np.array([of["rf"] - of["hs"], of["rr"] - of["hs"]]), static),
                *(cars.axles("kf", "kr") * h**2, cars.axles("rf", "rr") + sunk),
                *(cars.axles("front_bump", "rear_bump"), -cars.axles("front_droop", "rear_droop")),
                *(give, weight, 1 / mass, 2 * _LATEST * give, 2 * _BEFORE * give),
                np.concatenate([tyre_rate, stop_rates]) / 2,
                np.concatenate([cars.axles("ctf", "ctr") * h, stop_dampings]),
                *((closing + opening) / 2, closing - opening),
                *(of["Iyy"], of["mu"], of["d"] / of["e"], 1 / of["ms"]),
                *(of["ms"] * of["g"] * h**2, 0.5 * of["rho"] * of["CdA"]),
                1 / (of["ms"] + of["mf"] + of["mr"]),
            )
        )
        # Places run one row ahead; speeds, accelerations and damper forces keep only the last.
        self.places, self._kept = aligned(most + 2, 5, n), aligned(most + 1, 6, n)
        self._speed, self._pulls, self._dampers = aligned(5, n), aligned(2, 5, n), aligned(2, 2, n)
        self._bars = Bars(cars, step_s, most) if of["bar_rate"].any() else None
        self._slip = TyreSlip(cars, step_s, most) if of["slip_mass"].any() else None
        linked = np.isfinite(of["ic_turn_rate"]).any()
        self._links = Links(cars, of["rr"] + sunk[1], h) if linked else None
        self._thrusting = np.ones(n)
        self._last = 0
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
        self.places[:2] = self.places[last : last + 2].copy()
        self._kept[0] = self._kept[last]
        for one in (self._bars, self._slip):
            if one is not None:
                one.carry_on(last)
        with np.errstate(all="ignore"):
            self._advance(steps)
        now = slice(steps + 1)
        bars = None if self._bars is None else self._bars.kept[now]
        slip = None if self._slip is None else self._slip.kept[now]
        stretch = Stretch(self.done, self.step_s, self.places[now], self._kept[now], bars, slip)
        self.done += steps
        self._last = steps
        return stretch

    def _stand(self, which: NDArray[np.bool_]) -> None:
        last, still = self._last, np.zeros((5, self.cars.n))
        still[Z] = self.cars.of["hs"]
        kept = np.zeros((6, self.cars.n))
        kept[0], kept[2:4] = self._sunk[0], self._static + self._weight
        for row in (last, last + 1):
            self.places[row][:, which] = still[:, which]
        self._kept[last][:, which] = kept[:, which]
        self._speed[:, which] = 0.0
        self._pulls[:, :, which] = 0.0
        self._dampers[:, :, which] = 0.0
        if self._slip is not None:
            self._slip.stand(which, last)

    def _thrust(self, steps: int) -> tuple[Array, Array]:
        """Return launch force and power over the coming steps, in step units, (steps, n)."""
        h, of = self.step_s, self.cars.of
        begin = ((self.done + np.arange(steps)) * h)[:, None]
        ramp = np.minimum(1.0, (begin + h / 2) / np.maximum(of["t_ramp"], h / 2))
        share = np.repeat(self._thrusting[None], steps, axis=0)
        for start, lost, length in self.cars.dips:
            now = np.nonzero((start < begin[-1] + h) & (start + length > begin[0]))[0]
            within = np.minimum(begin + h, (start + length)[now]) - np.maximum(begin, start[now])
            share[:, now] *= 1.0 - lost[now] * np.clip(within / h, 0.0, 1.0)
        return on_line(of["F_launch"] * h**2 * ramp * share), on_line(of["P"] * h**3 * share)

    def _advance(self, steps: int) -> None:
        # Outputs go last by position, equal shapes meet equal shapes, and views are made once:
        # at a few hundred cars the call itself costs as much as the arithmetic.
        n = self.cars.n
        (
            mass, arm, above, static, rate, top, bump, droop, give, weight, per_mass,
            give_latest, give_before, half_rates, dampings, mean_valve, valve_span,
            inertia, grip, ratio, per_body, body_weight, drag, per_all,
        ) = self._numbers  # fmt: skip
        windy = bool(drag.any())
        zero, half, at_rest, latest, earlier, slowest = (
            np.array(one)
            for one in (0.0, 0.5, AT_REST, _LATEST, _BEFORE, SLOWEST_M_S * self.step_s)
        )
        launch, power = self._thrust(steps)
        pull, before = self._pulls
        damper, damper_before = self._dampers
        add, sub, mul, div = np.add, np.subtract, np.multiply, np.divide
        most, least, copy, size = np.maximum, np.minimum, np.copyto, np.abs
        five, ahead = aligned(2, 5, n)
        six, end, begin, depth, pace, force = aligned(6, 6, n)
        roots, valve = aligned(2, 2, n), aligned(3, 2, 2, n)
        scale, offset, shift = valve
        lever, sq, strut, axle, side, p, p2, s, c, spin, spin2 = aligned(11, 2, n)
        o, fx, fz, turn, bx, bz, mh, inert = aligned(8, n)
        speed = self._speed
        vx, vz, stroke, turning = ahead[X], ahead[Z], ahead[QF:], ahead[PITCH]
        tyre_depth, bump_depth, droop_depth = depth[:BUMP_F], depth[BUMP_F:DROOP_F], depth[DROOP_F:]
        tyre_pace, qd, droop_pace = pace[:BUMP_F], pace[BUMP_F:DROOP_F], pace[DROOP_F:]
        loads, bumps, droops = force[:BUMP_F], force[BUMP_F:DROOP_F], force[DROOP_F:]
        load_r, front_stops, front_depth, front_rate = loads[1], force[BUMP_F::2], depth[0], qd[0]
        (p_f, p_r), (side_f, side_r), (strut_f, strut_r) = p, side, strut
        (axle_f, axle_r), (s1, s_r), (c1, c_r) = axle, s, c
        shut, blown = roots
        lever_r, (spin_f, spin_r) = lever[1], spin
        measured, bars, slip, links = self._measured, self._bars, self._slip, self._links
        for i in range(steps):
            place, kept = self.places[i + 1], self._kept[i + 1]
            z, pitch, q = place[Z], place[PITCH], place[QF:]
            mul(pull, latest, ahead)
            mul(before, earlier, five)
            sub(ahead, five, ahead)
            add(ahead, speed, ahead)  # (14)
            pull, before, damper, damper_before = before, pull, damper_before, damper

            # Dampers: the stroke's speed without them, then the closed form.
            mul(give_latest, damper_before, p)
            add(stroke, p, p)
            mul(give_before, damper, p2)
            sub(p, p2, p)
            np.copysign(half, p, p2)
            mul(valve_span, p2, valve)
            add(valve, mean_valve, valve)
            size(p, p2)
            if measured is not None:
                measured.ratios(p, p2, out=side)
            mul(scale, p2, roots)
            add(roots, offset, roots)
            np.sqrt(roots, roots)
            sub(roots, shift, roots)
            least(shut, blown, out=p2)
            if measured is not None:
                mul(p2, side, p2)
            mul(p2, p2, p2)
            np.copysign(p2, p, damper)
            mul(give, damper, p2)
            sub(p, p2, qd)  # (12)

            # Where the axles are: lever and height from the body's centre, in the world.
            np.sin(pitch, s1)
            np.cos(pitch, c1)
            copy(s_r, s1)
            copy(c_r, c1)
            copy(spin, turning)
            add(above, q, sq)
            mul(arm, c, lever)
            mul(sq, s, p)
            sub(lever, p, lever)
            mul(arm, s, p)
            mul(sq, c, p2)
            add(p, p2, p)
            add(p_f, z, p_f)
            add(p_r, z, p_r)
            sub(top, p, tyre_depth)
            mul(spin, lever, p)
            mul(qd, c, p2)
            add(p, p2, p)
            add(p_f, vz, p_f)
            add(p_r, vz, p_r)
            np.negative(p, tyre_pace)
            sub(q, bump, bump_depth)
            sub(droop, q, droop_depth)
            np.negative(qd, droop_pace)

            # Tyres and stops: depth at the step's end and begin, share of the step, mean force.
            size(pace, six)
            add(six, at_rest, six)
            mul(six, half, begin)
            add(depth, begin, end)
            most(end, zero, out=end)
            sub(depth, begin, begin)
            most(begin, zero, out=begin)
            add(end, begin, force)
            sub(end, begin, end)
            div(end, six, end)
            mul(force, half_rates, force)
            mul(dampings, pace, six)
            add(force, six, force)
            mul(force, end, force)
            most(force, zero, out=force)  # (13)

            mul(rate, q, strut)
            add(strut, static, strut)
            add(strut, damper, strut)
            add(strut, bumps, strut)
            sub(strut, droops, strut)

            # Drive: (fx, fz) on the body at the ground below the rear axle, -fz on the axle.
            most(vx, slowest, out=o)
            div(power[i], o, fx)
            least(fx, launch[i], out=fx)
            mul(grip, load_r, o)
            least(fx, o, out=fx)
            if slip is not None:
                slip.push(i + 1, speed[X], vx, load_r, launch[i], power[i], slowest, fx)
            mul(fx, ratio, fz)
            if links is not None:
                links.lift(q[1], depth[1], load_r, s1, c1, fx, fz)
            mul(fx, z, turn)
            mul(fz, lever_r, o)
            add(turn, o, turn)
            if links is not None:
                add(turn, links.moment, turn)
            sub(loads, weight, axle)
            sub(axle_r, fz, axle_r)
            if windy:
                size(vx, o)
                mul(o, vx, o)
                mul(o, drag, o)
                sub(fx, o, fx)
            sub(fz, body_weight, fz)
            if bars is not None:
                bars.push(i + 1, z, s1, c1, vz, turning, fz, turn)
            mul(fx, c1, bx)
            mul(fz, s1, o)
            add(bx, o, bx)
            mul(fz, c1, bz)
            mul(fx, s1, o)
            sub(bz, o, bz)

            # Side: what the axles' own motion asks of the body across its vertical axis.
            mul(spin, spin, spin2)
            mul(arm, spin2, side)
            add(spin, spin, p2)
            mul(qd, p2, p)
            add(side, p, side)
            mul(side, mass, side)
            mul(axle, s, p)
            add(side, p, side)  # (5)

            # Two equations for pitch and the body's long axis.
            mul(mass, sq, p)
            add(p_f, p_r, mh)  # (6)
            mul(p, sq, p)
            add(p_f, p_r, inert)
            add(inert, inertia, inert)  # (7)
            mul(arm, strut, p)
            mul(sq, side, p2)
            sub(p, p2, p)
            add(turn, p_f, turn)
            add(turn, p_r, turn)
            add(bx, side_f, bx)
            add(bx, side_r, bx)
            mul(bx, per_all, bx)
            mul(mh, bx, o)
            add(turn, o, turn)
            mul(mh, per_all, o)
            mul(o, mh, mh)
            sub(inert, mh, inert)
            div(turn, inert, spin_f)  # (8)
            mul(o, spin_f, o)
            add(bx, o, bx)  # (9)
            add(bz, strut_f, bz)
            add(bz, strut_r, bz)
            mul(bz, per_body, bz)  # (1)

            # Back into the world, and the strokes' own accelerations.
            copy(pull[PITCH], spin_f)
            copy(spin_r, spin_f)
            mul(bx, c1, fx)
            mul(bz, s1, o)
            sub(fx, o, pull[X])
            mul(bx, s1, fx)
            mul(bz, c1, o)
            add(fx, o, pull[Z])
            mul(axle, c, axle)
            sub(axle, strut, axle)
            mul(axle, per_mass, axle)
            sub(axle_f, bz, axle_f)
            sub(axle_r, bz, axle_r)
            mul(arm, spin, p)
            sub(axle, p, axle)
            mul(sq, spin2, p)
            add(axle, p, pull[QF:])  # (2)

            add(speed, pull, speed)  # (10)
            add(place, speed, self.places[i + 2])  # (11)
            copy(kept[0], front_depth)
            copy(kept[1], front_rate)
            copy(kept[2:4], loads)
            copy(kept[4:], front_stops)
        if steps % 2:
            self._pulls = self._pulls[::-1].copy()
            self._dampers = self._dampers[::-1].copy()
