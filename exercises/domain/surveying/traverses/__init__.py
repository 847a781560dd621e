"""Traverses that were measured, closed and looked through for slips."""
