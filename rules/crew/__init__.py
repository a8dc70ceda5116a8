"""What the crew says: the questions of the loop, going back, actions at any time, short forms."""
