"""Backups: made while the server serves, verified, thinned, put back. README.md: what and why."""
