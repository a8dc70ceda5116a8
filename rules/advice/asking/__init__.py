"""Which question of a pass can still change its advice, and the way on for who cannot tell."""
