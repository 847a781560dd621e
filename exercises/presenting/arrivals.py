"""What is worth a look in how somebody joined, in a few words each."""

from ..languages import tell, tell_many


def signs_texts(found, most):
    """The signs of each person as short texts; `most` is how many one phone may add."""
    return {person: _texts(those, most) for person, those in found.items()}


def _texts(those, most):
    return [
        *([tell("not on the list")] if those.is_unlisted else []),
        *([tell("joined after the first reading")] if those.is_late else []),
        *([tell("from a network of their own")] if those.is_apart else []),
        *_phone_texts(those, most),
    ]


def _phone_texts(those, most):
    """How many one phone brought, where it was not this person alone."""
    if those.brought < 2:
        return []
    said = [
        tell_many("one of {number} on one phone", "one of {number} on one phone", those.brought)
    ]
    if those.brought >= most:
        said.append(tell("as many as a phone may add"))
    if those.brought_gone:
        said.append(
            tell_many(
                "{number} of them taken out", "{number} of them taken out", those.brought_gone
            )
        )
    return said
