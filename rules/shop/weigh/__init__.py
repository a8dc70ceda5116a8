"""Weighings: the scales, and the height of the centre of gravity."""
