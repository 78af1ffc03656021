"""The on-set gel and correction advisor."""

__version__ = "0.1.0"
