"""Everything that is kept: car files, logs, backups, and where they live.

This room may use `rules`; it never draws on the screen.
"""
