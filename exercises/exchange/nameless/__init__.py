"""Nameless readings: an open table of compass readings with what went wrong in them. README.md here
is the standard, schema.json its schema, example.csv a worked example.
"""
