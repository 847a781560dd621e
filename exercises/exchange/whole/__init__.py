"""A whole site, or all that an instructor has, as one file in an open format (README.md)."""
