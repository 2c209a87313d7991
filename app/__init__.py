"""The program: its commands and, in time, its window."""

__version__ = "0.1.0"
