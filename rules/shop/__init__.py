"""The computations of the shop: typed values, scales, centre of gravity, travel, springs."""
