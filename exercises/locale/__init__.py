"""Translations and formats, a folder a language."""
