"""Two themes: sunlight, black on white; and night. Meaning is in words, never in colour."""

from textual.theme import Theme

SUNLIGHT = Theme(
    name="sunlight",
    primary="#000000",
    secondary="#000000",
    accent="#000000",
    foreground="#000000",
    background="#ffffff",
    surface="#ffffff",
    panel="#ffffff",
    warning="#000000",
    error="#000000",
    success="#000000",
    dark=False,
    variables={
        "danger": "#af0000",
        "open": "#0000d7",
        "done": "#005f5f",
        "measured": "#00005f",
        "forecast": "#8700af",
    },
)
NIGHT = Theme(
    name="night",
    primary="#f0f0f0",
    secondary="#f0f0f0",
    accent="#f0f0f0",
    foreground="#f0f0f0",
    background="#000000",
    surface="#000000",
    panel="#000000",
    warning="#f0f0f0",
    error="#f0f0f0",
    success="#f0f0f0",
    dark=True,
    variables={
        "danger": "#ff875f",
        "open": "#87d7ff",
        "done": "#00d7af",
        "measured": "#ffffff",
        "forecast": "#af87ff",
    },
)
