"""What becomes of an account's things, in words."""

from ..languages import tell, tell_many

NAMED = {
    "site": lambda name, to: tell("Site “{name}” passes on to {to}.", name=name, to=to),
    "class": lambda name, to: tell("Class “{name}” passes on to {to}.", name=name, to=to),
    "kit": lambda name, to: tell("Kit “{name}” passes on to {to}.", name=name, to=to),
}


def passed_texts(leaving):
    """A sentence for each thing that passes on."""
    return [NAMED[one.kind](one.row.name, one.to.get_username()) for one in leaving.passed]


def going_texts(leaving):
    """What goes for good, one after the other."""
    numbers = [
        tell_many("{number} site", "{number} sites", len(leaving.sites)) if leaving.sites else "",
        tell_many("{number} class", "{number} classes", len(leaving.classes))
        if leaving.classes
        else "",
        tell_many("{number} person", "{number} people", leaving.people) if leaving.people else "",
        tell_many("{number} reading", "{number} readings", leaving.readings)
        if leaving.readings
        else "",
        tell_many("{number} kit", "{number} kits", len(leaving.kits)) if leaving.kits else "",
        *(
            tell("Organisation “{name}”, which nobody else is in", name=one.name)
            for one in leaving.ending
        ),
    ]
    return [text for text in numbers if text]
