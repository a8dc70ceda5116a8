"""The headless twin: a file of answers in place of keys, JSON or lines in place of a screen."""

import json
import tomllib
from collections.abc import Callable, Iterator
from datetime import datetime
from functools import partial
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any, Literal
from uuid import UUID, uuid5

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from profiles.logbook import Logbook
from rules import __version__
from rules.actions import ACTION, ActionError
from rules.adjusters import adjusters
from rules.advice import Advice
from rules.book import Book
from rules.car import Car
from rules.events import BODY, Event, SessionKind
from rules.expected import Model
from rules.expected_words import expected_text
from rules.session import AnswerError
from tui.desk import Desk, utc_now
from tui.lines import advice_lines, net_of, off_baseline, spoken, spoken_prompt, unresolved

NAMESPACE = UUID("6f0f4f0e-6d2b-5f0c-9a53-5e7d0b0b1c11")
JSON_FORMAT: Literal[1] = 1


class ConsultError(ValueError):
    """The answers cannot be taken; the message names the step, what was found and is wanted."""


class Answers(BaseModel):
    """A file of answers: `step` holds answers to prompts and actions, in order."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    run: str = Field("", max_length=80)
    meeting: str = Field("Consultation", min_length=1, max_length=200)
    session: SessionKind = "test"
    step: tuple[dict[str, Any], ...] = ()


def read_answers(text: str, name: str) -> Answers:
    """Read a file of answers.

    Raises:
        ConsultError: with every fault found.
    """
    try:
        return Answers.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise ConsultError(f"{name}: not TOML: {error}") from None
    except ValidationError as error:
        faults = [
            f"{name}: {'.'.join(str(part) for part in fault['loc'])}: {fault['msg']}; "
            f"found {repr(fault['input'])[:60]}"
            for fault in error.errors()
        ]
        raise ConsultError("\n".join(faults)) from None


def consult(
    car: Car,
    answers: Answers,
    book: Book,
    log_file: Path | None = None,
    clock: Callable[[], datetime] = utc_now,
    model: Model | None = None,
) -> tuple[Desk, list[Event]]:
    """Take every step that the log does not hold yet; return the desk and the new events.

    model: what turns are weighed by; None for the trade's steps alone.

    Raises:
        ConsultError: if a step cannot be taken; the steps before it are kept.
        profiles.logbook.LogError: if the log cannot be used.
    """
    if log_file is not None and not answers.run:
        raise ConsultError("run: found nothing; wanted a name, so that a retry is recognised")
    device = f"consult:{answers.run}" if answers.run else "consult"
    log = Logbook.open(log_file, device) if log_file else Logbook.in_memory(device)
    known = {event.id for event in log.events()}
    desk = Desk(log, book, clock=clock, model=model)
    taken = _taken_before(answers, known)
    if desk.state.car is not None:
        _advise(desk, answers)
    for step_name, take in _steps(car, answers, desk, taken):
        _name_after(desk, answers, step_name)
        if _event_id(answers, step_name, 1) in known:
            continue
        try:
            take()
        except (AnswerError, ActionError) as error:
            raise ConsultError(f"{step_name}: {error}") from None
        _advise(desk, answers)
    return desk, [event for event in log.events() if event.id not in known]


def _advise(desk: Desk, answers: Answers) -> None:
    """Record the advice that is due; its identifiers hang on where the log stands."""
    if desk.is_advice_due:
        _name_after(desk, answers, f"advice after {desk.state.events}")
        desk.advise()


def _taken_before(answers: Answers, known: set[UUID]) -> int:
    """Return the last step the log holds: those before it are taken, with or without events."""
    numbers = range(len(answers.step), 0, -1)
    return next((n for n in numbers if _event_id(answers, f"step {n}", 1) in known), 0)


def _event_id(answers: Answers, step_name: str, number: int) -> UUID:
    return uuid5(NAMESPACE, f"{answers.run}/{step_name}/event/{number}")


def _steps(
    car: Car, answers: Answers, desk: Desk, taken: int
) -> Iterator[tuple[str, Callable[[], None]]]:
    digest = sha256(car.model_dump_json().encode()).hexdigest()[:16]
    yield f"car {digest}", lambda: desk.describe(car)
    if desk.prompt.id == "meeting":
        yield "meeting", lambda: desk.answer("meeting", answers.meeting)
    if desk.prompt.id == "session":
        yield "session", lambda: desk.answer("session", answers.session)
    for number, step in enumerate(answers.step[taken:], taken + 1):
        yield f"step {number}", partial(_take, desk, step)


def _name_after(desk: Desk, answers: Answers, step_name: str) -> None:
    events, names = count(1), count(1)
    desk.event_ids = lambda: _event_id(answers, step_name, next(events))
    desk.names = lambda: uuid5(NAMESPACE, f"{answers.run}/{step_name}/name/{next(names)}").hex


def _take(desk: Desk, step: dict[str, Any]) -> None:
    if "action" in step:
        try:
            desk.act(ACTION.validate_python(step))
        except ValidationError as error:
            fault = error.errors()[0]
            where = ".".join(str(part) for part in fault["loc"][1:]) or "action"
            raise ActionError(
                f"{where}: {fault['msg']}; found {repr(fault['input'])[:60]}"
            ) from None
        return
    if step.keys() != {"prompt", "answer"}:
        found = ", ".join(step) or "nothing"
        raise AnswerError(f"found {found}; wanted prompt and answer, or action")
    value = step["answer"]
    if isinstance(value, list):
        value = tuple(str(one) for one in value)
    elif isinstance(value, bool) or not isinstance(value, str | int | float | dict):
        raise AnswerError(
            f"answer: found {value!r}; wanted text, a number, a list or marks by item"
        )
    desk.answer(str(step["prompt"]), value)


def as_json(desk: Desk, new_events: list[Event]) -> str:
    """Return the outcome as JSON with stable fields, documented in the contributors' guide."""
    state, prompt = desk.state, desk.prompt
    fitted = adjusters(desk.car)
    latest = next((run.advice for run in reversed(state.runs) if run.advice), None)
    outcome = {
        "format": JSON_FORMAT,
        "version": __version__,
        "book": desk.book.digest,
        "car": desk.car.id,
        "meeting": state.meeting.name if state.meeting else None,
        "session": state.session,
        "passes": len(state.runs),
        "unresolved": unresolved(state),
        "prompt": {
            "id": prompt.id,
            "kind": prompt.kind,
            "question": spoken_prompt(state, prompt).question,
            "choices": [choice.id for choice in prompt.choices if not choice.why_not],
            "unknown": prompt.unknown,
        },
        "advice": _advice_json(desk, latest) if latest else None,
        "settings": {
            key: {"value": value, "text": fitted[key].show(value), "net": net_of(state, key)}
            for key, value in state.settings.items()
        },
        "events": [
            BODY.dump_python(event.body, mode="json", by_alias=True) for event in new_events
        ],
    }
    return json.dumps(outcome, indent=2, ensure_ascii=False, allow_nan=False)


def _advice_json(desk: Desk, advice: Advice) -> dict[str, Any]:
    fitted = adjusters(desk.car)
    plain = advice.model_dump(mode="json", exclude={"basis"})
    for key in ("title", "cause", "why", "expect", "look_for", "put_back_if", "order_reason"):
        plain[key] = spoken(desk.state, plain[key])
    plain["turns"] = [
        {
            "adjuster": turn.adjuster,
            "from": turn.before,
            "to": turn.after,
            "from_text": fitted[turn.adjuster].show(turn.before),
            "to_text": fitted[turn.adjuster].show(turn.after),
        }
        for turn in advice.turns
    ]
    if advice.expected:
        plain["expected"]["text"] = expected_text(advice.expected, desk.car.units)
    return plain


def as_lines(desk: Desk) -> str:
    """Return the outcome as plain lines: the open question, with the advice if it is one."""
    state = desk.state
    prompt = spoken_prompt(state, desk.prompt)
    rows = [prompt.question]
    if isinstance(prompt.about, Advice):
        rows.insert(0, spoken(state, prompt.about.title).upper())
        rows += advice_lines(state, prompt.about)
    elif prompt.hint:
        rows.append(prompt.hint)
    rows += [
        f"  {choice.id}: {choice.label}"
        + (f" (not now: {choice.why_not})" if choice.why_not else "")
        for choice in prompt.choices
    ]
    off = off_baseline(state)
    rows += ["", unresolved(state), "Off baseline: " + ("; ".join(off) if off else "nothing")]
    return "\n".join(rows)
