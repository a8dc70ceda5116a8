"""Which springs are wanted, and which are in the trailer."""
