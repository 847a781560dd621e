"""Verbs: each does what belongs together in one transaction."""
