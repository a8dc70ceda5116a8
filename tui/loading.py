"""What the first question does without is loaded once it is drawn, while the crew reads it."""

import gc
from importlib import import_module

LATER = (
    "profiles.event_rows",
    "rules.crew.loop",
    "rules.crew.consequences",
    "rules.advice.advise",
    "tui.drawn.verdict_short",
    "rules.crew.actions",
    "tui.pages.verdict",
    "tui.screens.form",
    "tui.screens.reading",
    "tui.pages.reports",
    "tui.screens.slip",
    "tui.pages.log",
    "tui.screens.shop",
    "tui.screens.what_if",
)
"""In the order in which they are likely to be wanted; none of them brings the array library."""


def load_later() -> None:
    """Load what the keys of the first question lead to: off the event loop, please."""
    # What is loaded stays, and a search for garbage through all of it would hold a key up.
    gc.disable()
    try:
        for name in LATER:
            import_module(name)
    finally:
        gc.freeze()
        gc.enable()
