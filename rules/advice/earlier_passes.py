"""Which passes of a log say something about the car, and what: for the launch model."""

from rules.launch.proposed_change import Seen
from rules.log.reading_bounds import was_braked
from rules.log.said import confounders
from rules.log.state import Run, State
from rules.passes.slip import SPOILING
from rules.question import UNKNOWN

TELLING = ("stand", "front-travel", "carry", "rear-motion", "rear-travel")
MOST = 6


def seen_on(run: Run) -> Seen:
    """Return what was seen and measured on a pass, with the settings it was made with."""
    facts = {
        prompt: value
        for prompt in TELLING
        if isinstance(value := run.answers.get(prompt), str) and value != UNKNOWN
    }
    return Seen(
        tuple(sorted(run.settings.items())),
        tuple(sorted(facts.items())),
        tuple(sorted((what, (one.value, one.give)) for what, one in run.measured.items())),
        ring_was_braked(run),
    )


def ring_was_braked(run: Run) -> bool:
    """Tell whether the front ring of a pass was read after hard braking."""
    ring = run.measured.get("front ring")
    return ring is not None and was_braked(ring.inputs)


def passes_that_speak(state: State, before: int | None = None) -> tuple[Seen, ...]:
    """Return the latest passes that say something of the car as it is described now.

    before: only those with a lower number.  The latest first.
    Left out: what else had changed, lifted, aborted or spun, a violent shake (pedalled or aborted),
    counts in doubt after a recount, another description of the car, nothing seen.
    """
    found = []
    for run in reversed(state.runs):
        if before is not None and run.number >= before:
            continue
        if run.car != state.car or run.in_doubt or confounders(run):
            continue
        if run.slip is not None and run.slip.marks & SPOILING:
            continue
        seen = seen_on(run)
        if run.answers.get("shake") == "violent" or not (seen.facts or seen.measured):
            continue
        found.append(seen)
    return tuple(found[:MOST])
