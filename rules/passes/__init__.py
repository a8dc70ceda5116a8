"""A pass as numbers: its slip, its splits, its air, what a phone and a ring say of it."""
