"""Dyno tables of three valvings, soft to hard, with round numbers that a hand can follow.

Force doubles every six clicks; the firm pack gives twice the force of the soft one at slow speed,
which is six clicks, and 2^1.5 times at fast, which is nine.
"""

SOFT = ["speed [mm/s], 0 [N], 6 [N], 12 [N]", "50, 100, 200, 400", "250, 300, 600, 1200"]
FIRM = ["speed [mm/s], 0 [N], 6 [N], 12 [N]", "50, 200, 400, 800", "250, 849, 1697, 3394"]
HARD = ["speed [mm/s], 0 [N], 12 [N]", "50, 4000, 8000", "250, 9000, 18000"]
