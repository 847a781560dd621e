"""Rows that do not change, and the ways in which the program changes them after all.

Names go on their day (`usecases/purge_names.py`), which first notes that they do; an account that
is closed leaves its rows behind without it.
"""

from .promise import ALWAYS, Unchanging

NOBODY = "—"  # what is called by it, as `usecases/without_names.py` has it

# the row’s class, which does not lie in the bin, by itself or with its course or site
KEPT = (
    "EXISTS (SELECT 1 FROM exercises_courseclass c JOIN exercises_course o ON o.id = c.course_id "
    "JOIN exercises_site s ON s.id = o.site_id WHERE c.removed_at IS NULL "
    "AND o.removed_at IS NULL AND s.removed_at IS NULL AND c.id = {row}.course_class_id)"
)


def _of_class(holds: str, course_class: str = "{row}.course_class_id") -> str:
    """A class of which something holds."""
    return f"EXISTS (SELECT 1 FROM exercises_courseclass c WHERE {holds} AND c.id = {course_class})"


def _nameless(course_class: str = "{row}.course_class_id") -> str:
    """A class whose names are deleted."""
    return _of_class("c.names_purged_at IS NOT NULL", course_class)


NAMELESS = _nameless()
# a key is its class's owner's where whoever froze it leaves
OWNERS = (
    "EXISTS (SELECT 1 FROM exercises_courseclass c WHERE c.owner_id = {row}.frozen_by_id "
    "AND c.id = {row}.course_class_id)"
)
# a class that is over: one person's name may go by their own wish; or one whose names are deleted,
# as all are in a copy that is handed on without names, whatever the class's state
IS_OVER = "(c.state = 'closed' OR c.names_purged_at IS NOT NULL)"
OVER = _of_class(IS_OVER)
_OF_COUNT = _nameless(
    "(SELECT h.course_class_id FROM exercises_headcount h WHERE h.id = {row}.headcount_id)"
)
_ITS_CLASS = "(SELECT r.course_class_id FROM exercises_rotation r WHERE r.id = {row}.rotation_id)"
_OF_ROTATION = _nameless(_ITS_CLASS)


def _or_nobody(column: str, may: str = NAMELESS) -> str:
    """As something may be, or where the name of somebody who left becomes that of nobody."""
    return f"{may} OR {{row}}.{column} = '{NOBODY}'"


def _unchanging(name: str, may: dict[str, str] | None = None) -> Unchanging:
    """A table whose rows do not change, but as `may` says."""
    return Unchanging(f"{name}_is_unchanged", name.replace("_", ""), may=may or {})


def _only(name: str, model: str, *columns: str, **may: str) -> Unchanging:
    """A table some of whose columns do not change, but as `may` says."""
    return Unchanging(name, model, only=(*columns, *may), may=may)


WITHOUT_ACCOUNT = {"by_id": "{row}.by_id IS NULL"}
UNCHANGING = (
    _unchanging(
        "reading",
        {
            "typed_by_id": "{row}.typed_by_id IS NULL",
            "text": f"{{old}}.problem <> '' AND {NAMELESS}",
            "compass_number": NAMELESS,
        },
    ),
    _unchanging("key", {"reason": NAMELESS, "frozen_by_id": OWNERS}),
    _unchanging("survey", {"is_set_aside": ALWAYS, **WITHOUT_ACCOUNT}),
    _unchanging("reply"),
    _unchanging("label", WITHOUT_ACCOUNT),
    _unchanging(
        "kit_entry",
        {
            "course_class_id": "{row}.course_class_id IS NULL",
            "by_name": _or_nobody("by_name"),
            "words": OVER,
        },
    ),
    _unchanging("headcount", {"begun_by": _or_nobody("begun_by")}),
    _unchanging("headcount_mark", {"by": _or_nobody("by", _OF_COUNT)}),
    _unchanging(
        "rotation",
        {
            **dict.fromkeys(("starts_at", "started_at", "ended_at", "helpers"), ALWAYS),
            "made_by": _or_nobody("made_by"),
            "plan": OVER,
        },
    ),
    _unchanging(
        "rotation_mark",
        {
            "by": _or_nobody("by", _OF_ROTATION),
            "group": _of_class(IS_OVER, _ITS_CLASS),
        },
    ),
    _unchanging(
        "trail_entry",
        {
            **WITHOUT_ACCOUNT,
            "by_name": _or_nobody("by_name", f"{{row}}.by_id IS NULL AND {NAMELESS}"),
            **dict.fromkeys(
                ("before", "after"), f"{{old}}.verb IN ('merged', 'unmerged') OR {NAMELESS}"
            ),
        },
    ),
    _unchanging(
        "seen_to",
        {
            "taken_back_at": "{old}.taken_back_at IS NULL",
            "by": _or_nobody("by"),
            "sign": NAMELESS,
        },
    ),
    _unchanging("field_note", {"by": _or_nobody("by"), "words": OVER}),
    _unchanging(
        "issue",
        {
            "person_id": "{row}.person_id IS NULL",
            "returned_at": "{old}.returned_at IS NULL",
            "group_name": OVER,
            "issued_by": _or_nobody("issued_by"),
        },
    ),
    _unchanging("observed_bearing", {"north": ALWAYS}),
    _only("person_stays_in_its_class", "person", "course_class_id"),
    _only("phone_speaks_for_one_person", "phone", "person_id", "secret_digest"),
    _only("group_stays_in_its_class", "group", "course_class_id"),
    _only("compass_stays_in_its_class", "compass", "course_class_id", number=NAMELESS),
    _only("paper_entry_stays_in_its_class", "paperentry", "course_class_id", "person_id", "task"),
    _only("point_stays_on_its_site", "point", "site_id"),
    _only("course_stays_on_its_site", "course", "site_id"),
    _only("hazard_stays_on_its_site", "hazard", "site_id"),
    _only("task_stays_in_its_course", "task", "course_id"),
    _only("kit_compass_stays_in_its_kit", "kitcompass", "kit_id", "number"),
    _only(
        "class_keeps_its_course_once_opened",
        "courseclass",
        course_id="{old}.state = 'draft'",
        date="{old}.state = 'draft'",
        key_source="{old}.state = 'draft'",
        names_purged_at="{old}.names_purged_at IS NULL",
    ),
)
