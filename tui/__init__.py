"""Everything that is seen: the screens, the command line, and the headless twin."""
