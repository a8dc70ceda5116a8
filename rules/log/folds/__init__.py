"""How each event moves the state: the fold, and its parts by what they move."""
