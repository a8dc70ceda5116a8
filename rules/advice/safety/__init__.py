"""The gates above every rule: the safety lists, the nevers, the dangers of the log, the time."""
