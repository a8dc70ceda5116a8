"""Which effect on the 60-foot is worth having."""

# The smallest where none was declared [s]; common practice. It says what is small, and keeps no
# proof from being said.
USUAL_WORTH_S = 0.010
WORTH_LOW_S, WORTH_HIGH_S = 0.003, 0.200
