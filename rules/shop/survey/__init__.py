"""The travel survey: lengths, ratios, coils, sides, clearance, touches."""
