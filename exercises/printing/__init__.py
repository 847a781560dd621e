"""Real PDFs: station cards, the practice map, sheets to fill in, the key, a person's summary, and
all of a class in one file.

Everything is in millimetres from the upper left corner, in black and grey, with fonts embedded.
What is printed arrives ready to print.
"""
