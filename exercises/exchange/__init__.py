"""Points in and out: files of other programs as tables of text, what their rows mean for a site,
and the same formats written.

`reading.py` turns a file into a `Sheet`, `rows.py` a sheet into points, `writing.py` points into
files. None of them knows the database.
"""
