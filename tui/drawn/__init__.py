"""What is drawn in cells: the car, its gauges, large figures, ranges. No widget, no screen."""
