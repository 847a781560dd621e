"""Bearings that an instructor read on the ground, and what they say of it."""
