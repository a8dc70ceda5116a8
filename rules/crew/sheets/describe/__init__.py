"""Describing a new car, and what to measure next."""
