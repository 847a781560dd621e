"""How often a process looks for objects that hold each other and nobody else does.

Python looks through all that it holds whenever what came anew is a quarter of that: a debrief of
a hundred people makes so much that it was looked for once in each, over every module that is
loaded, a third of the page's time.
"""

import gc

# Objects that come anew before the youngest are looked through; Python's own is 700. The page of
# a debrief makes a few hundred thousand, which fall to nothing by themselves when it is sent.
YOUNG = 20_000


def look_seldom():
    """Leave out what is loaded by now, which stays as long as the process, and look at the rest
    seldom. Called before processes part, so that what they share is not written to either.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(YOUNG, *gc.get_threshold()[1:])
