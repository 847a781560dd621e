"""Hostile requests to every address, by seed: `python -m tests.fuzz --requests 100000`.

Requests are made from the addresses' own patterns (each converter, method and role), from the forms
that the pages show (their fields, and the values that they offer), and from what the scripts of
phones send; then something in them is spoilt. A 500, what the last resort had to answer, a promise
of the database that is broken at the end of a request, and an answer that takes more than two
seconds of processor time are findings. Nothing of a request is kept, so each can be made again
alone: `--seed 7 --only 1234`.
"""
