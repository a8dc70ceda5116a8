"""The verdict of a change as a page: what was seen, what was timed, what to do and why."""

from collections.abc import Sequence
from functools import cache
from itertools import groupby, islice
from statistics import fmean
from typing import TYPE_CHECKING

from rules.advice.change_evidence import latest_tried, verdict_of
from rules.advice.decision import FollowUp, follow_up
from rules.advice.forecasts import forecasts, foretold_of
from rules.advice.looked_through import look_through
from rules.advice.safety.gates import open_blocks
from rules.advice.timed_passes import is_counted
from rules.book import Book
from rules.launch.forecast_words import foretold_text
from rules.log.changes import Change
from rules.log.other_parts import other_parts
from rules.log.state import Run, State
from rules.passes.slip import FIELDS
from rules.passes.splits import WORTH_A_WORD_S, stretches
from rules.wording import capital, plural
from tui.lines import labelled, spoken
from tui.pages.page import Page

if TYPE_CHECKING:
    from textual.content import Content

    from rules.advice.change_evidence import ChangeVerdict
    from tui.drawn.picture import Picture

SEEN = {
    "gone": "gone",
    "better": "better, still there",
    "same": "same as before",
    "worse": "worse",
    "other": "another fault came",
    None: "not judged by the crew yet",
}
MOST_PAGES = 8
SHOWN_PASSES = 5
NOTHING_YET = "No change had its pass yet: the verdict comes after it."


def verdict_pages(state: State, book: Book) -> list[Page]:
    """Return a page for each change that had a pass, the latest first, then their 60-foot times."""
    look_through(state, book)
    tried = list(islice(latest_tried(state), MOST_PAGES))
    if not tried:
        return [Page("none yet", lambda width, height: [NOTHING_YET])]
    from tui.pages.day_pictures import sixty_picture

    picture = sixty_picture(state)
    pictures = (picture,) if picture is not None else ()
    pages = [_page(state, book, change, pictures) for change in tried]
    if pictures:
        pages.append(Page("60-foot by pass", lambda width, height: [], lambda: pictures))
    return pages


def _page(state: State, book: Book, change: Change, pictures: "tuple[Picture, ...]") -> Page:
    @cache
    def known() -> "ChangeVerdict":
        return verdict_of(state, book, change)

    def short(width: int) -> "Content":
        from tui.pages.verdict_short import short_verdict

        return short_verdict(state, known(), book, width)

    return Page(
        spoken(state, change.title),
        lambda width, height: verdict_lines(state, known(), book, width),
        lambda: pictures,
        short=short,
    )


def verdict_lines(state: State, known: "ChangeVerdict", book: Book, width: int) -> list[str]:
    """Return the verdict whole, its labels in a column."""
    rows: list[str] = []
    for label, text in verdict_parts(state, known, book):
        rows += labelled(label, spoken(state, text), width)
    return rows


def verdict_parts(state: State, known: "ChangeVerdict", book: Book) -> list[tuple[str, str]]:
    """Return what is known of a change as label and text; texts in the book's wording."""
    change = known.change
    parts = [("First", f"Inspect: {block.says}") for block in open_blocks(state, book)[:1]]
    parts += [
        ("Do", _decision(known, follow_up(state, book, change))),
        ("Seen", seen_words(known, book)),
    ]
    if known.danger is not None:
        parts.append(("Danger", f"pass {known.danger.number}: {known.danger.what}."))
    parts += _timed(known)
    parts += _stretch(state, change)
    parts += _splits(known)
    parts += [
        (
            "Measured" if number == 0 else "",
            f"{one.name}: {one.says}.",
        )
        for number, one in enumerate(known.measured)
    ]
    parts += _foretold(state, change)
    parts += cautions(state, known)
    return parts


def seen_words(known: "ChangeVerdict", book: Book) -> str:
    """Say what the crew saw of the fault that the change was for."""
    symptom = book.symptoms.get(known.change.symptom or "")
    fault = f"{symptom.name}: " if symptom else ""
    return f"{fault}{SEEN[known.change.verdict]}."


def _foretold(state: State, change: Change) -> list[tuple[str, str]]:
    """Say what was foretold of the change and what came, and how often forecasts held so far."""
    rows = [
        foretold_text(one.name, one.measure, one.range, one.found, state.described_car.units)
        + (", inside" if one.held else ", OUTSIDE")
        for one in foretold_of(state, change)
    ]
    if not rows:
        return []
    every = forecasts(state)
    held = sum(one.held for one in every)
    rows.append(f"{plural(len(every), 'forecast')} so far, {held} held; 8 in 10 should.")
    said = [capital(row) for row in rows]
    return [("Foretold" if number == 0 else "", row) for number, row in enumerate(said)]


def _decision(known: "ChangeVerdict", decided: FollowUp | None) -> str:
    if known.was_put_back:
        return f"Nothing: it was put back since.{_proof_off_the_car(known)}"
    if decided is None and known.change.verdict is not None:
        return "Nothing by this: it cannot be judged alone. A repeat pass, then one change."
    if decided is None:
        return "Judge it first: the crew's own eyes come before the times."
    return f"{decided.act.upper()}. {decided.text}" if decided.act else decided.text


def _proof_off_the_car(known: "ChangeVerdict") -> str:
    """Say that the times prove a setting which is not on the car, or nothing."""
    from rules.evidence.verdict_words import recommendation_words

    found = known.recommended
    if found is None or not (known.was_put_back and found.proven and found.turn):
        return ""
    return f" But by time: {recommendation_words(found)}"


def _stretch(state: State, change: Change) -> list[tuple[str, str]]:
    """Say what the times of the stretch say that the fault touches, where it is not the 60-foot."""
    from rules.advice.stretch_verdict import stretch_verdict
    from rules.evidence.verdict_words import effect_words, headline

    found = stretch_verdict(state, change)
    if found is None:
        return []
    told = f"{found.words}, where this fault shows: {headline(found.times)}"
    return [("Stretch", f"{told} Best guess {effect_words(found.times)}.")]


def _timed(known: "ChangeVerdict") -> list[tuple[str, str]]:
    from rules.evidence.scatter_words import scatter_words
    from rules.evidence.verdict_words import (
        drift_words,
        effect_words,
        headline,
        plain_words,
        recommendation_words,
        why_not,
    )

    if known.times is None:
        return [("60-foot", "No 60-foot time in the log: s notes the slip.")]
    times, change = known.times, known.change
    usual = "the usual: none was declared" if change.worth_s is None else "declared before it"
    label = f"{times.design.label}."
    reason = why_not(times)
    reason = "" if reason == label else reason
    parts = [("60-foot", headline(times, known.more, known.names))]
    if known.compared:
        parts.append(("", f"Best guess {effect_words(times)}."))
    if plain := plain_words(times, _times(known.before), _times(known.after)):
        parts.append(("", plain))
    if known.compared and known.day is not None:
        parts.append(("Scatter", scatter_words(known.day)))
    if known.recommended is not None and not _proof_off_the_car(known):
        parts.append(("By time", recommendation_words(known.recommended)))
    if times.elsewhere:
        letters = "; ".join("-".join(one) for one in times.elsewhere)
        parts.append(("Before", f"At other events, counted in: {letters}."))
    parts += [
        ("", f"Worth having from {known.worth_s:.3f} s, {usual}. {reason}".rstrip()),
        ("Without", _passes(known.before)),
        ("With", _passes(known.after)),
        ("Run as", f"{order_words(times.design.letters)} {capital(label)}"),
    ]
    if known.offers:
        told = "; ".join(
            f"{'-'.join(one.letters)} next makes {one.words}" for one in known.offers[:2]
        )
        parts.append(("To tell", f"{told}. A is without it, B with it; end on the likelier."))
    parts.append(("Drift", f"{drift_words(times)} Air, lane and order of passes are weighed in."))
    return parts


def _times(runs: Sequence[Run]) -> list[float]:
    return [run.sixty_s for run in runs if run.sixty_s is not None]


def order_words(letters: str) -> str:
    """Say in which order the passes were made: 3 without it, then 1 with it: A-A-A-B."""
    if not letters:
        return "None."
    kinds = {"A": "without it", "B": "with it"}
    runs = [(kind, len(list(same))) for kind, same in groupby(letters)]
    told = ", then ".join(f"{count} {kinds[kind]}" for kind, count in runs)
    return f"{told}: {'-'.join(letters)}."


def _passes(runs: Sequence[Run]) -> str:
    timed = [run for run in runs if run.sixty_s is not None]
    if not timed:
        return "no clean pass with a 60-foot"
    shown = ", ".join(f"{run.sixty_s:.3f} (pass {run.number})" for run in timed[-SHOWN_PASSES:])
    earlier = len(timed) - SHOWN_PASSES
    return f"{plural(earlier, 'earlier pass')}, {shown}" if earlier > 0 else shown


def _splits(known: "ChangeVerdict") -> list[tuple[str, str]]:
    """Say where past the 60-foot the passes with the change differ from those without."""
    sides = []
    for runs in (known.before, known.after):
        times: dict[tuple[str, str], list[float]] = {}
        for run in runs:
            for one in stretches(run.slip) if run.slip else []:
                if one.start:
                    times.setdefault((one.start, one.end), []).append(one.time_s)
        sides.append(times)
    before, after = sides
    told = []
    for (start, end), mine in after.items():
        if (start, end) in before:
            apart = fmean(mine) - fmean(before[start, end])
            way = "slower" if apart > 0 else "quicker"
            small = abs(apart) < WORTH_A_WORD_S
            label = f"{FIELDS[start].label} to {FIELDS[end].label}"
            told.append(f"{label} " + ("no difference" if small else f"{abs(apart):.3f} s {way}"))
    return [("Splits", "; ".join(told) + ".")] if told else []


def cautions(state: State, known: "ChangeVerdict") -> list[tuple[str, str]]:
    """Return what keeps a change from proving anything, by label."""
    from rules.evidence.interactions import flagged

    parts = []
    if known.interactions:
        parts.append(("Together", flagged(known.interactions)))
    if known.change.mixed:
        parts.append(("Mixed", "Another turn was made on top of it before its pass."))
    if known.change.in_doubt:
        parts.append(("In doubt", "A recount found a count elsewhere: it proves nothing."))
    if known.change.set_aside:
        parts.append(("Set aside", "It stays out of what each rule has shown."))
    if other := other_parts(state, known.change):
        parts.append(("Set aside", f"It is {other}"))
    steps = known.change.steps
    gone = [s.turn.adjuster for s in steps if s.turn.adjuster not in state.fitted]
    if gone:
        parts.append(("Car file", "An adjuster of this change has left the car file."))
    return parts


def verdict_line(state: State) -> str:
    """Say in one line what the times say of the change whose pass is advised about, or nothing."""
    from rules.evidence.verdict_words import chances

    run = state.open_run
    if run is None or run.advice is None:
        return ""
    told = run.advice.basis.evidence
    if told is None:
        spoken_of = run.change is not None and run.sixty_s is not None
        return f"60-foot: {_no_comparison(state, run)}. v shows the verdict." if spoken_of else ""
    way = "quicker" if told.effect_s < 0 else "slower"
    said = f"cannot tell yet, best guess {abs(told.effect_s):.3f} s {way}"
    if told.word != "cannot tell":
        said = f"{told.word}, {chances(max(told.quicker, 1.0 - told.quicker))}"
    return f"60-foot: {said}. v shows the verdict."


def _no_comparison(state: State, run: Run) -> str:
    """Say which setting has no clean pass yet."""
    return f"no clean pass {'without' if is_counted(run) else 'with'} it yet"


def verdict_json(state: State, book: Book) -> dict[str, object] | None:
    """Return the verdict of the latest change that had a pass, SI; None before the first."""
    tried = next(latest_tried(state), None)
    if tried is None:
        return None
    known = verdict_of(state, book, tried)
    times = known.times
    decided = follow_up(state, book, tried)
    guess = times if known.compared else None
    return {
        "change": known.change.id,
        "symptom": known.change.verdict,
        "word": times.word if times else None,
        "effect_s": guess.effect.mean if guess else None,
        "effect_range_s": list(guess.effect.range) if guess else None,
        "quicker": guess.quicker if guess else None,
        "worth_having": guess.worth_having if guess else None,
        "worth_s": known.worth_s,
        "design": times.design.letters if times else "",
        "label": times.design.label if times else "",
        "drift_s": times.drift.mean if times else None,
        "more": len(known.more.settings) if known.more and known.more.would_tell else None,
        "measured": {one.name: one.says for one in known.measured},
        "interactions": [[one.one, one.other] for one in known.interactions],
        "offers": [one.letters for one in known.offers],
        "decision": decided.act if decided else None,
        "reason": spoken(state, decided.reason if decided else ""),
        "lines": verdict_lines(state, known, book, 78),
    }
