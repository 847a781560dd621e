"""Formats of this language."""
