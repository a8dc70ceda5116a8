"""Editing the car file: its values as a crew sees them, and what comes in and goes out."""
