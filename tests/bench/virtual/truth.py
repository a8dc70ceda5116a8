"""A launch as it truly is: an invented car in a general-purpose multibody engine (mujoco).

Shares no module with `rules.launch`, and differs from it on purpose: the rear tyre slips (a
relaxation length and friction that falls past its peak), the hit has a flywheel's hump, a share
of the axle's torque twists the body and leaves less grip, the instant centre moves with the
travel, dampers have another curve, wheelie bars touch, gears change. SI throughout.

The engine integrates with its semi-implicit Euler step; bodies, joints and Jacobians are its own,
only the forces are handed to it. All relations here are common practice written from memory, no
source: what counts is that they are plausible and not those of the model that is tried on them.
"""

from dataclasses import dataclass, replace
from math import exp, inf, sin, tanh

import mujoco  # type: ignore[import-untyped]

G = 9.81
# Against a quarter of a millisecond: lift within 2 %, ring within 1.5 mm; passes scatter by more.
STEP_S = 0.002
RUN_S = 2.6
SIXTY_FEET_M = 18.288
# Beyond this the car is going over: the driver has lifted, and nothing more is told of the pass.
OVER_RAD = 0.55

_MODEL = """
<mujoco>
  <compiler inertiafromgeom="false" boundmass="0" boundinertia="0"/>
  <option timestep="{step}" gravity="0 0 -9.81" integrator="Euler">
    <flag contact="disable" constraint="disable"/>
  </option>
  <worldbody>
    <body name="body" pos="0 0 {hs}">
      <joint type="slide" axis="1 0 0"/>
      <joint type="slide" axis="0 0 1"/>
      <joint type="hinge" axis="0 -1 0"/>
      <inertial pos="0 0 0" mass="{ms}" diaginertia="{inertia} {inertia} {inertia}"/>
      <body name="front" pos="{ahead} 0 {front_above}">
        <joint type="slide" axis="0 0 1"/>
        <inertial pos="0 0 0" mass="{mf}" diaginertia="1e-6 1e-6 1e-6"/>
      </body>
      <body name="rear" pos="{behind} 0 {rear_above}">
        <joint type="slide" axis="0 0 1"/>
        <inertial pos="0 0 0" mass="{mr}" diaginertia="1e-6 1e-6 1e-6"/>
      </body>
    </body>
  </worldbody>
</mujoco>
"""


@dataclass(frozen=True)
class Stroke:
    """One stroke of an axle's dampers, at the wheel: bleed part and high-speed part.

    F = bleed * tanh(v / knee) + slope * v: another family than the tool's.
    bleed: [N], both sides.  knee: [m/s].  slope: [N s/m].
    """

    bleed: float
    knee: float
    slope: float

    def force(self, speed: float) -> float:
        """Return the force [N] at a speed [m/s] of this stroke, which is not negative."""
        return self.bleed * tanh(speed / self.knee) + self.slope * speed


@dataclass(frozen=True)
class End:
    """One end of the car: unsprung mass, spring, travel, tyre [SI], both sides together."""

    mass: float
    radius: float
    spring: float
    bump: float
    droop: float
    tyre: float
    tyre_damping: float
    comp: Stroke
    reb: Stroke

    def turned(self, stroke: str, low: float, high: float) -> "End":
        """Return it with the bleed and the high-speed part of a stroke so many times as firm."""
        one = self.comp if stroke == "comp" else self.reb
        new = replace(one, bleed=one.bleed * low, slope=one.slope * high)
        return replace(self, comp=new) if stroke == "comp" else replace(self, reb=new)


@dataclass(frozen=True)
class Bars:
    """Wheelie bars on the body.  height: of their wheels at rest.  behind: the rear axle [m]."""

    height: float
    behind: float
    rate: float


@dataclass(frozen=True)
class Launching:
    """Everything a launch needs, at the settings and on the pass it is made with.

    ahead, behind: of the sprung centre to the axles.  anti: slope of the line to the instant
    centre [-].  anti_gain: how that slope grows as the rear squats [1/m].
    thrust: at the hit [N].  hump: what the hit adds at first [-], over `hump_s`.
    mu: peak friction at the usual load.  falls: share of it lost at a slip of one.
    peak: slip at the peak [-].  relax: relaxation length [m].  twist: grip lost to torque [-].
    turning: mass that the driveline's inertia stands for [kg].
    rollout: how far the car moves before it starts the clock [m].
    dips: gear changes: (when [s], share of thrust lost, how long [s]).
    """

    ms: float
    inertia: float
    hs: float
    ahead: float
    behind: float
    front: End
    rear: End
    bars: Bars | None
    anti: float
    anti_gain: float
    thrust: float
    rise: float
    hump: float
    hump_s: float
    power: float
    mu: float
    peak: float
    falls: float
    relax: float
    twist: float
    turning: float
    drag: float
    rollout: float
    dips: tuple[tuple[float, float, float], ...]
    stop: float = 4e5
    stop_damping: float = 3000.0

    @property
    def static(self) -> tuple[float, float]:
        """Sprung weight at each end [N]."""
        weight, base = self.ms * G, self.ahead + self.behind
        return weight * self.behind / base, weight * self.ahead / base

    @property
    def total(self) -> float:
        """Mass of the whole car [kg]."""
        return self.ms + self.front.mass + self.rear.mass


@dataclass(frozen=True)
class Outcome:
    """What a launch truly did, in SI; times from the hit, distances from the line.

    lift: greatest gap under the front tyre.  down_at: where it landed, 0 where it never rose.
    ring: most front compression after the landing (at all where there was none), of `bump`.
    load: greatest front tyre load after it, over the static one.  hops: gaps above 10 mm after
    the landing.  hop: the largest.  rise: of the body over the front axle within 0.4 s.
    droop_used: greatest front extension over the droop.  bang: force on the droop stop [N].
    nose: height of the body's front at 2.5 s.  held: of it, by thrust on the spring.
    squat: rear compression over the bump travel.
    rear_droop: rear extension over the droop.  sep: rear extension at 0.1 s.
    spin_hit, spin_late: time with the slip past its peak, before and after 0.4 s.
    let_go: when it slipped late.
    least_rear: least rear load from 0.3 to 1.5 s over the static one.
    bars: greatest bar force [N].  over: it went over.
    """

    lift: float
    airborne: float
    down_at: float
    ring: float
    bump: float
    load: float
    hops: int
    hop: float
    rise: float
    droop_used: float
    bang: float
    nose: float
    held: float
    squat: float
    rear_droop: float
    sep: float
    spin_hit: float
    spin_late: float
    let_go: float
    least_rear: float
    bars: float
    sixty: float
    peak_g: float
    over: bool


class _Watch:
    """Reads a run as it goes."""

    def __init__(self, car: Launching) -> None:
        self.car = car
        self.gaps: list[tuple[float, float, float, float]] = []
        self.rising: float | None = None
        self.rising_x = 0.0
        self.top = 0.0
        self.ring_all = self.ring = self.load = self.load_all = 0.0
        self.rise = self.extended = self.bang = self.nose = self.squat = self.rear_out = 0.0
        self.sep = self.spin_hit = self.spin_late = self.bars = self.peak = 0.0
        self.let_go = self.push = 0.0
        self.least = inf
        self.started = self.sixty = 0.0

    def see(
        self, t: float, x: float, v: float, gap: float, q: tuple[float, float], rise: float,
        loads: tuple[float, float], bang: float, bar: float, past: bool, g: float, step: float,
    ) -> None:  # fmt: skip
        """Take in one step."""
        if gap > 0.0:
            if self.rising is None:
                self.rising, self.top = t, 0.0
            self.top = max(self.top, gap)
        elif self.rising is not None:
            self.gaps.append((self.rising, t, self.top, x))
            if self.top >= max(one[2] for one in self.gaps):
                # The main flight: what comes after it counts as its landing.
                self.ring = self.load = 0.0
            self.rising = None
        self.ring_all, self.load_all = max(self.ring_all, q[0]), max(self.load_all, loads[0])
        self.ring, self.load = max(self.ring, q[0]), max(self.load, loads[0])
        if t <= 0.4:
            self.rise = max(self.rise, rise)
        if t <= 2.5:
            self.nose, self.push = rise, g * self.car.total * G
        self.extended = max(self.extended, -q[0])
        self.bang = max(self.bang, bang)
        self.squat, self.rear_out = max(self.squat, q[1]), max(self.rear_out, -q[1])
        if t <= 0.1:
            self.sep = -q[1]
        if past and t <= 0.4:
            self.spin_hit += step
        elif past and x < 40.0:
            self.spin_late += step
            self.let_go = self.let_go or t
        if 0.3 <= t <= 1.5:
            self.least = min(self.least, loads[1])
        self.bars = max(self.bars, bar)
        self.peak = max(self.peak, g)
        if not self.started and x >= self.car.rollout:
            self.started = t - (x - self.car.rollout) / v
        if not self.sixty and x >= SIXTY_FEET_M:
            self.sixty = t - (x - SIXTY_FEET_M) / v - self.started

    def outcome(self, over: bool, x: float, t: float) -> Outcome:
        """Return what was seen."""
        car = self.car
        gaps = list(self.gaps)
        if self.rising is not None:
            gaps.append((self.rising, t, self.top, x))
        main = max(gaps, key=lambda one: one[2], default=(0.0, 0.0, 0.0, 0.0))
        later = [one[2] for one in gaps if one[0] >= main[1] and one[2] > 0.01]
        front, rear = (
            w + m * G for w, m in zip(car.static, (car.front.mass, car.rear.mass), strict=True)
        )
        landed = main[2] > 0.0 and self.rising is None
        return Outcome(
            lift=max(main[2], 0.9) if over else main[2],
            airborne=main[1] - main[0],
            down_at=main[3],
            ring=car.front.bump + 0.005 if over else self.ring if landed else self.ring_all,
            bump=car.front.bump,
            load=9.0 if over else (self.load if landed else self.load_all) / front,
            hops=len(later),
            hop=max(later, default=0.0),
            rise=self.rise,
            droop_used=self.extended / car.front.droop,
            bang=self.bang,
            nose=self.nose,
            held=self.push
            * (car.hs / (car.ahead + car.behind))
            * (1.0 / car.front.spring + 1.0 / car.front.tyre),
            squat=self.squat / car.rear.bump,
            rear_droop=self.rear_out / car.rear.droop,
            sep=self.sep,
            spin_hit=self.spin_hit,
            spin_late=self.spin_late,
            let_go=self.let_go,
            least_rear=0.0 if self.least == inf else self.least / rear,
            bars=self.bars,
            sixty=self.sixty,
            peak_g=self.peak,
            over=over,
        )


def launch(car: Launching, step_s: float = STEP_S, run_s: float = RUN_S) -> Outcome:
    """Let a car launch; the same car gives the same outcome."""
    front, rear = car.front, car.rear
    model = mujoco.MjModel.from_xml_string(
        _MODEL.format(
            step=step_s, hs=car.hs, ms=car.ms, inertia=car.inertia, ahead=car.ahead,
            behind=-car.behind, mf=front.mass, mr=rear.mass,
            front_above=front.radius - car.hs, rear_above=rear.radius - car.hs,
        )
    )  # fmt: skip
    data = mujoco.MjData(model)
    seen = _Watch(car)
    static = car.static
    rest = (static[0] + front.mass * G, static[1] + rear.mass * G)
    sunk = (rest[0] / front.tyre, rest[1] / rear.tyre)
    slip, wheel = 0.0, 0.0
    applied, joints = data.xfrc_applied, data.qfrc_applied
    for count in range(round(run_s / step_s)):
        t = count * step_s
        mujoco.mj_step1(model, data)
        q, v, at = data.qpos.tolist(), data.qvel.tolist(), data.xpos.tolist()
        up = data.xmat[1].tolist()
        lean, along = up[8], up[2]
        body, f_at, r_at = at[1], at[2], at[3]
        strut, load, bang = [0.0, 0.0], [0.0, 0.0], 0.0
        for i, (end, place, joint) in enumerate(((front, f_at, 3), (rear, r_at, 4))):
            rate, travel = v[joint], q[joint]
            falling = v[1] + v[2] * (place[0] - body[0]) + rate * lean
            depth = sunk[i] + end.radius - place[2]
            load[i] = max(0.0, end.tyre * depth - end.tyre_damping * falling) if depth > 0 else 0.0
            damping = end.comp.force(rate) if rate >= 0 else -end.reb.force(-rate)
            stop = 0.0
            if travel > end.bump:
                stop = max(0.0, car.stop * (travel - end.bump) + car.stop_damping * rate)
            elif travel < -end.droop:
                stop = min(0.0, car.stop * (travel + end.droop) + car.stop_damping * rate)
                bang = -stop if i == 0 else bang
            strut[i] = static[i] + end.spring * travel + damping + stop
        pushing, slip, wheel, past = _pushed(car, t, v[0], load[1], rest[1], slip, wheel, step_s)
        lifting = pushing * (car.anti + car.anti_gain * q[4])
        # Push and lift of the links act on the body at the ground below the rear axle.
        arm, below = r_at[0] - body[0], -body[2]
        bar_force, bar_arm = _bar(car, body, along, lean, v, sunk[1])
        air = car.drag * v[0] * abs(v[0])
        applied[1, 0], applied[1, 2] = pushing - air, lifting + bar_force
        # The engine's torque about +y, which is nose down.
        applied[1, 4] = below * pushing - arm * lifting - bar_arm * bar_force
        applied[2, 2] = load[0]
        applied[3, 2] = load[1] - lifting
        joints[3], joints[4] = -strut[0], -strut[1]
        tall = body[2] + car.ahead * sin(q[2]) + (front.radius - car.hs) * lean - front.radius
        gap = f_at[2] - front.radius - sunk[0]
        total = car.total
        seen.see(
            t, q[0], v[0], gap, (q[3], q[4]), tall, (load[0], load[1]), bang, bar_force,
            past, pushing / (total * G), step_s,
        )  # fmt: skip
        if q[2] > OVER_RAD:
            return seen.outcome(True, q[0], t)
        mujoco.mj_step2(model, data)
    return seen.outcome(False, data.qpos[0], run_s)


def _bar(
    car: Launching, body: list[float], along: float, lean: float, v: list[float], sunk: float
) -> tuple[float, float]:
    """Return the bars' force on the body [N] and its arm along the track [m]."""
    if car.bars is None:
        return 0.0, 0.0
    back, under = -(car.behind + car.bars.behind), car.bars.height - car.hs
    x = back * lean + under * along
    z = body[2] - back * along + under * lean
    if z >= 0.0:
        return 0.0, 0.0
    speed = v[1] + v[2] * x
    return max(0.0, -car.bars.rate * z - 800.0 * speed), x


def _pushed(
    car: Launching, t: float, v: float, load: float, rest: float, slip: float, wheel: float,
    step: float,
) -> tuple[float, float, float, bool]:  # fmt: skip
    """Return the tyres' push [N], slip [-] and speed [m/s], and whether slip is past its peak.

    The slip lags behind the wheel by a relaxation length; the push rises to the friction's peak
    and falls beyond it; the more load, the less friction.
    """
    ramp = min(1.0, t / car.rise) if car.rise > 0 else 1.0
    full = car.thrust * (1.0 + car.hump * exp(-t / car.hump_s))
    drive = min(full * ramp, car.power / max(wheel, 0.5))
    for when, lost, length in car.dips:
        if when <= t < when + length:
            drive *= 1.0 - lost
    mu = car.mu * (max(load, 1.0) / rest) ** -0.08 * (1.0 - car.twist)
    part = step / 4.0
    pushed = 0.0
    for _ in range(4):
        share = slip / car.peak
        grip = (
            (2.0 * share / (1.0 + share * share))
            if share < 1.0
            else (1.0 - car.falls * (1.0 - exp(-(share - 1.0) / 3.0)))
        )
        rate = (wheel - v - abs(v) * slip) / car.relax
        # The sidewall's own damping.
        force = max(0.0, load * mu * grip + 0.02 * load * rate * (1.0 if share < 1.0 else 0.0))
        slip = max(0.0, slip + rate * part)
        wheel = max(0.0, wheel + (drive - force) / car.turning * part)
        pushed += force / 4.0
    return pushed, slip, wheel, slip > 1.3 * car.peak
