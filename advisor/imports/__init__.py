"""Pasted text and files, turned into readings and gels."""
