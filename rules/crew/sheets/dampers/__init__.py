"""What is done to dampers and springs, walked one job at a time: fitted, revalved, serviced."""
