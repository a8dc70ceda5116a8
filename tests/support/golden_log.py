"""A log frozen for the tests of every later version: the file, its rows, what it adds up to.

`python tests/support/golden_log.py LOG.sqlite3` writes the next `tests/golden/log-N.*`.
"""

import json
import sqlite3
import sys
from pathlib import Path
from typing import Any

from profiles.logbook import Logbook
from profiles.logfile import copy_log
from rules.log.other_parts import is_evidence
from rules.log.state import Run, State

GOLDEN = Path(__file__).parents[1] / "golden"
COLUMNS = ("id", "device", "seq", "at", "kind", "body")


def what_is_kept(state: State) -> dict[str, Any]:
    """Return what a crew would miss if a later version read it otherwise."""
    return {
        "events": state.events,
        "settings": dict(sorted(state.settings.items())),
        "meetings": [meeting.name for meeting in state.meetings],
        "session": state.session,
        "baselines": {one.name: dict(sorted(one.settings.items())) for one in state.baselines},
        "changes": [
            {
                "title": one.title,
                "origin": one.origin,
                "status": one.status,
                "verdict": one.verdict,
                "moved": {step.turn.adjuster: step.moved for step in one.steps},
                "passes": len(one.runs),
            }
            for one in state.changes
        ],
        "passes": [_pass(run) for run in state.runs],
        "ticks": sorted([*key, mark] for key, mark in state.ticks.items()),
        "damage": sorted(state.damage.values()),
        "notes": [note.text for note in state.notes],
        "worth_s": state.worth_s,
        "imported": len(list(state.imported)),
        "sheets": {
            sheet: [dict(one.answers) for one in rounds] for sheet, rounds in state.sheets.items()
        },
        **(_dampers(state) if state.dampers.jobs else {}),
    }


def _dampers(state: State) -> dict[str, Any]:
    known = state.dampers
    return {
        "dampers": {
            "records": {key: one.model_dump(mode="json") for key, one in known.records.items()},
            "mounted": dict(known.mounted),
            "springs": dict(known.springs),
            "jobs": [one.says for one in known.jobs],
            "doubts": dict(known.doubts),
            "evidence": [is_evidence(state, change) for change in state.changes],
        }
    }


def _pass(run: Run) -> dict[str, Any]:
    advice = run.followed
    return {
        "number": run.number,
        "answers": dict(run.answers),
        "measured": {what: one.value for what, one in run.measured.items()},
        "sixty_s": run.sixty_s,
        "lane": run.lane,
        "advice": advice.title if advice else None,
        "expected": advice.expected.standing if advice and advice.expected else None,
        "done": run.done,
    }


def main() -> None:
    """Freeze a log under the next number."""
    stem = GOLDEN / f"log-{len(list(GOLDEN.glob('log-*.sqlite3'))) + 1}"
    log_file = stem.with_suffix(".sqlite3")
    copy_log(Path(sys.argv[1]), log_file)
    rows = sqlite3.connect(log_file).execute(f"SELECT {', '.join(COLUMNS)} FROM events")
    lines = [dict(zip(COLUMNS, (*row[:5], json.loads(row[5])), strict=True)) for row in rows]
    stem.with_suffix(".jsonl").write_text("".join(f"{json.dumps(line)}\n" for line in lines))
    with Logbook.open(log_file, "golden", create=False) as log:
        kept = json.dumps(what_is_kept(log.state), indent=1)
    stem.with_suffix(".state.json").write_text(f"{kept}\n")


if __name__ == "__main__":
    main()
