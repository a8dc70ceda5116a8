"""Pages to look at, as plain lines: the screens and the headless twin show the same."""
