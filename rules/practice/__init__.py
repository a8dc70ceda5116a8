"""A practice day: a virtual car of hidden numbers, what a crew sees of it, and its truth."""
