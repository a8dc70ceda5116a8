"""Everything that is decided or computed, and nothing else.

Pure code: no screen, no database, no clock, no chance. Identifiers and times are passed in.
"""

__version__ = "0.1.0"
