"""This car's launch: the cloud of cars it may be, and what it forecasts of a turn."""
