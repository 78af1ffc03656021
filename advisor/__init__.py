"""The on-set gel and correction advisor."""
