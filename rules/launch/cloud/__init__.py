"""From a car file and its settings to the cars this may be: numbers, curves, levers, spreads."""
