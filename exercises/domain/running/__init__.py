"""A class while it is held: who may do what, who is where, what is in whose hands."""
