"""What was done in a class, as sentences: a verb of the trail with what it changed."""

from .. import vocabulary
from ..domain.words import say
from ..languages import tell, tell_many, told
from .first_signs import subject_text

FIELDS = {
    "name": say("name"),
    "date": say("date"),
    "time_zone": say("time zone"),
    "key_source": say("where the key comes from"),
    "feedback": say("when the answer is told"),
    "asks": say("whether phones ask"),
    "pass_share": say("what passes"),
    "names_until": say("until when names are kept"),
    "code": say("code"),
}
FIXED = {
    "opened": say("opened the class; the key is frozen"),
    "closed": say("closed the class"),
    "reopened": say("opened the class again"),
    "released": say("released the feedback"),
    "taken_out": say("took somebody out; their readings stay as nobody's"),
    "wished_out": say("somebody deleted their own name; their readings stay as nobody's"),
    "wished_gone": say("somebody deleted their own name and readings"),
    "names_purged": say("deleted the names of the class"),
    "purged": say("purged somebody with their readings"),
    "passed_on": say("the owner's account was deleted; the class passed on"),
}


def trail_text(entries):
    """The entries of a trail, each as (time, who, what they did)."""
    return [(entry.at, entry.by_name, sentence(entry)) for entry in entries]


def sentence(entry):
    """What somebody did; of another version's file it may be something that is not known here."""
    if entry.verb in FIXED:
        return told(FIXED[entry.verb])
    try:
        return SENTENCES[entry.verb](entry.before, entry.after)
    except (KeyError, TypeError, ValueError, AttributeError):
        return tell("did something that this version of navclass has no words for")


def _role(given):
    """A role as it is given, with the answers where they are."""
    name = told(vocabulary.ROLES[given["role"]])
    return tell("{role}, who sees the answers", role=name) if given.get("sees_answers") else name


def _kit(before, after):
    """Which kit goes out."""
    if not after["name"]:
        return tell("let no kit go out")
    return tell("chose the kit that goes out: {name}", name=after["name"])


def _joining(before, after):
    """Who may still join."""
    return tell("set who may join: {who}", who=told(vocabulary.JOINING[after["joining"]]))


SENTENCES = {
    "joining": _joining,
    "kit": _kit,
    "invited": lambda before, after: tell("made an invitation: {role}", role=_role(after)),
    "withdrew": lambda before, after: tell("withdrew an invitation: {role}", role=_role(before)),
    "took": lambda before, after: tell("took a role: {role}", role=_role(after)),
    "ended": lambda before, after: tell(
        "ended the role of {name}: {role}", name=before["name"], role=_role(before)
    ),
    "merged": lambda before, after: tell(
        "let {second} be a second name of {first}", second=before["name"], first=after["name"]
    ),
    "unmerged": lambda before, after: tell(
        "let {second} be a person again beside {first}",
        second=after["name"],
        first=before["name"],
    ),
    "settings": lambda before, after: tell(
        "changed settings: {changes}",
        changes="; ".join(
            f"{told(FIELDS[name])}: {before[name]} → {after[name]}" for name in after
        ),
    ),
    "saw_to": lambda before, after: tell("saw to {what}", what=subject_text(after["sign"])),
    "unsaw": lambda before, after: tell(
        "took back that somebody saw to {what}", what=subject_text(before["sign"])
    ),
    "kept_rotation": lambda before, after: tell_many(
        "kept a rotation of {number} round, version {version}",
        "kept a rotation of {number} rounds, version {version}",
        after["rounds"],
        version=after["version"],
    ),
    "started_rotation": lambda before, after: tell(
        "started the rotation, version {version}", version=after["version"]
    ),
    "ended_rotation": lambda before, after: tell(
        "ended the rotation, version {version}", version=after["version"]
    ),
    "signalled_change": lambda before, after: tell(
        "signalled “everybody change” after round {round}", round=after["round"]
    ),
    "corrected": lambda before, after: tell(
        "changed the key from version {before} to {after}: {reason}",
        before=before["version"],
        after=after["version"],
        reason=after["reason"],
    ),
}
VERBS = (*FIXED, *SENTENCES)
