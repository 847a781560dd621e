"""What a reader of places had to decide, and what it took from the text besides: for whoever wrote
it to see.
"""

from ..domain.earth.place import in_words
from ..domain.words import say

DOUBTS = {
    "commas": say("The commas were read so that the place lies near the site."),
    "order": say("The longitude was read first: only so does the place lie near the site."),
    "letter": say("O was read as east (Ost): only so does the place lie near the site."),
}


def notes(place):
    """Sentences on a `Place`: which of two readings was taken, what was read as its height and its
    uncertainty, and which words were passed over. As a rule there are none.
    """
    found = []
    if place.doubt:
        found.append(DOUBTS[place.doubt])
    if place.other:
        found.append(
            say(
                "This lies near the site; it could also be read as {place}.",
                place=in_words(place.other),
            )
        )
    if place.height_m is not None:
        found.append(say("{metres:g} m was read as its height.", metres=place.height_m))
    if place.uncertainty_m is not None:
        found.append(say("± {metres:g} m was read as its accuracy.", metres=place.uncertainty_m))
    if place.passed_over:
        found.append(say("Passed over: “{words}”.", words=place.passed_over[:80]))
    return found
