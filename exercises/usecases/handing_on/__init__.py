"""Hand on a whole site, or all that an instructor has: an export, and the way back in."""
