"""fieldlog: a field log for the finish stage of a house."""

__version__ = "0.1.0"
