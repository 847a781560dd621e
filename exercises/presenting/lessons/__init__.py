"""Lessons for home in words and drawings: `course.py` is what their page needs."""
