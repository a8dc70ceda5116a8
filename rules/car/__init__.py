"""What the crew owns: the car as its file has it, its adjusters, steps, valvings and curves."""
