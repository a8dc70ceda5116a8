"""Pages to read, as plain lines."""

from rules.car.adjusters import adjusters
from rules.car.knob_strength import moves, strengths
from rules.crew.work_prompts import disputed_text
from rules.launch.forecast_words import expected_details, to_see
from rules.log.state import State
from rules.moments import stamp
from rules.wording import capital
from tui.desk import Desk
from tui.laid import notice_lines
from tui.lines import WIDTH, advice_lines, labelled, net_of, off_baseline, spoken, system
from tui.pages.dampers import damper_lines
from tui.pages.rows import below
from tui.visible import visible

NOTHING_FILED = "No knob and no lever is in the car file yet: j, 1 adds one"


def counts_page(state: State) -> list[str]:
    """Return every adjuster: where it stands, and net from the baseline."""
    name = visible(state.baseline.name) if state.baseline else "none"
    off = off_baseline(state)
    rows = [
        f"Baseline in force: {name}. {len(off)} off it."
        if off
        else f"Baseline: {name}. {'All at it' if state.settings else NOTHING_FILED}.",
        "",
    ]
    for one in adjusters(state.described_car).values():
        counted = f" from {one.count_from}" if one.count_from else ""
        value = f"{one.show(state.settings[one.id])}{counted}"
        label, net = spoken(state, one.label), net_of(state, one.id)
        row = f"{label:<38} {value:<22} {net}"
        rows += [row] if len(row) <= WIDTH else below(label, [value, net], WIDTH)
        if one.id in state.disputed:
            rows += labelled("", spoken(state, disputed_text(one, state)))
    rows += _knob_rows(state)
    rows += damper_lines(state)
    if len(state.baselines) > 1:
        rows += ["", "Superseded baselines, kept in the log:"]
        rows += [f"  {stamp(b.at)} {visible(b.name)}" for b in state.baselines[:-1]]
    return rows


def _knob_rows(state: State) -> list[str]:
    """Return what a knob moves where that is worth a word: both strokes, or a known curve."""
    rows: list[str] = []
    for one in adjusters(state.described_car).values():
        known = strengths(state.described_car, state.settings, one)
        if one.part != "knob" or (one.place.startswith("right") and one.partner):
            continue
        told = one.controls == "both" or one.speed in ("low", "high") or one.curve != "unknown"
        if told or known:
            says = "; ".join([moves(one), *(each.says for each in known)])
            words = f"{one.axle} {one.name} moves {says}."
            rows += labelled("", spoken(state, capital(words)))
    return ["", "What a knob moves, and how strongly:", *rows] if rows else []


def alternatives_page(desk: Desk) -> list[str]:
    """Return the reasons of the advice that is open or followed, and why each alternative lost."""
    state = desk.state
    advice = state.current_advice
    notice = notice_lines(state, desk.prompt, WIDTH)
    if advice is None:
        return [*notice, "No advice belongs to what is open now."]
    rows = [*notice, spoken(state, advice.title), ""]
    if advice.expected is not None and state.car is not None:
        ratio = state.described_car.front.damper_ratio
        for number, text in enumerate(to_see(advice.expected, system(state), ratio)):
            rows += labelled("" if number else "To see", spoken(state, text))
    rows += ["", *advice_lines(state, advice), ""]
    rule = desk.book.rules.get(advice.rule or "")
    if rule is not None:
        for text in rule.wrong_when:
            rows += labelled("Wrong if", spoken(state, text))
        if rule.overshoot:
            names = [desk.book.symptoms[key].name for key in rule.overshoot]
            rows += labelled("Too far", spoken(state, "; ".join(names)))
        own = " (crew's own rule)" if rule.id in desk.book.own else ""
        rows += labelled("Rule", f"{rule.id}{own}; {rule.basis}")
    if advice.expected is not None:
        for label, text in expected_details(advice.expected, system(state)):
            rows += labelled(label, spoken(state, text))
    rows += ["", "The others, and why each was not chosen:"]
    for other in advice.alternatives:
        rows += labelled("", spoken(state, f"{other.what}: {other.lost}"))
    if not advice.alternatives:
        rows.append("          None.")
    return rows
