"""The shop's sheets: what each asks, in which order, and what comes of it."""
