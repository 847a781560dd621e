"""All promises that triggers hold: the one place where they stand. README.md says which and why."""

from .promise import POSTGRESQL, SQLITE, Begins, Holds, Promise, Remains, Stays
from .unchanging import KEPT, UNCHANGING

MOVE = "Let it name one of its own class, or delete the row."


def _elsewhere(link: str, table: str, own: str, mine: str) -> str:
    """A link to a row that is of another class or site (`own` is its column for that)."""
    return (
        f"({{row}}.{link} IS NOT NULL AND (SELECT x.{own} FROM {table} x "
        f"WHERE x.id = {{row}}.{link}) {{differs}} {mine})"
    )


def _of_class(model: str, link: str, table: str) -> Promise:
    """What a row names is of the row's own class."""
    return Holds(
        f"{model}_{link.removesuffix('_id')}_is_in_its_class",
        model.replace("_", ""),
        _elsewhere(link, table, "course_class_id", "{row}.course_class_id"),
        MOVE,
        columns=(link, "course_class_id"),
    )


ONE_CLASS = (
    _of_class("reading", "person_id", "exercises_person"),
    _of_class("person", "group_id", "exercises_group"),
    _of_class("person", "compass_id", "exercises_compass"),
    _of_class("person", "same_as_id", "exercises_person"),
    _of_class("paper_entry", "person_id", "exercises_person"),
    _of_class("reply", "reading_id", "exercises_reading"),
    _of_class("label", "reading_id", "exercises_reading"),
    _of_class("issue", "person_id", "exercises_person"),
    Holds(
        "headcount_mark_person_is_in_its_class",
        "headcountmark",
        _elsewhere(
            "person_id",
            "exercises_person",
            "course_class_id",
            "(SELECT h.course_class_id FROM exercises_headcount h WHERE h.id = {row}.headcount_id)",
        ),
        MOVE,
        columns=("person_id", "headcount_id"),
    ),
    Holds(
        "reading_compass_is_in_its_class",
        "reading",
        "{row}.compass_number <> '' AND NOT EXISTS (SELECT 1 FROM exercises_compass x "
        "WHERE x.course_class_id = {row}.course_class_id AND x.number = {row}.compass_number)",
        "Give the class a compass of this number.",
        columns=("compass_number", "course_class_id"),
    ),
    Holds(
        "reading_task_is_in_a_key_of_its_class",
        "reading",
        {
            SQLITE: "NOT EXISTS (SELECT 1 FROM exercises_key k, json_each(k.answers) a "
            "WHERE k.course_class_id = {row}.course_class_id "
            "AND json_extract(a.value, '$.task') = {row}.task)",
            POSTGRESQL: "NOT EXISTS (SELECT 1 FROM exercises_key k, "
            "jsonb_array_elements(k.answers) a WHERE k.course_class_id = {row}.course_class_id "
            "AND a.value ->> 'task' = {row}.task)",
        },
        "Nobody asked for it: delete the row.",
        columns=("task", "course_class_id"),
    ),
    Holds(
        "results_are_by_a_key_of_their_class",
        "results",
        "NOT EXISTS (SELECT 1 FROM exercises_key k WHERE k.version = {row}.key_version "
        "AND k.course_class_id = {row}.course_class_id)",
        "Delete the row: the debrief computes it anew.",
        columns=("key_version", "course_class_id"),
    ),
    Begins(
        "issue_compass_is_of_the_kit_of_its_class",
        "issue",
        _elsewhere(
            "compass_id",
            "exercises_kitcompass",
            "kit_id",
            "(SELECT c.kit_id FROM exercises_courseclass c WHERE c.id = {row}.course_class_id)",
        ),
    ),
    Begins(
        "issue_is_to_somebody",
        "issue",
        "{row}.person_id IS NULL AND {row}.group_name = ''",
    ),
    Begins(
        "rotation_mark_is_of_its_plan",
        "rotationmark",
        {
            SQLITE: "({row}.\"group\" <> '' AND NOT EXISTS (SELECT 1 FROM exercises_rotation r, "
            "json_each(r.plan, '$.groups') g WHERE r.id = {row}.rotation_id "
            "AND json_extract(g.value, '$.code') = {row}.\"group\")) "
            "OR ({row}.station <> '' AND NOT EXISTS (SELECT 1 FROM exercises_rotation r, "
            "json_each(r.plan, '$.stations') s WHERE r.id = {row}.rotation_id "
            "AND json_extract(s.value, '$.code') = {row}.station))",
            POSTGRESQL: "({row}.\"group\" <> '' AND NOT EXISTS (SELECT 1 "
            "FROM exercises_rotation r, jsonb_array_elements(r.plan -> 'groups') g "
            "WHERE r.id = {row}.rotation_id "
            "AND g.value ->> 'code' = {row}.\"group\")) "
            "OR ({row}.station <> '' AND NOT EXISTS (SELECT 1 FROM exercises_rotation r, "
            "jsonb_array_elements(r.plan -> 'stations') s WHERE r.id = {row}.rotation_id "
            "AND s.value ->> 'code' = {row}.station))",
        },
    ),
    Begins(
        "staff_is_not_the_owner",
        "staff",
        "{row}.user_id IS NOT NULL AND {row}.user_id = (SELECT c.owner_id "
        "FROM exercises_courseclass c WHERE c.id = {row}.course_class_id)",
    ),
)


def _off_site(link: str, site: str) -> str:
    """A link to a point of another site."""
    return _elsewhere(link, "exercises_point", "site_id", site)


_COURSE_SITE = "(SELECT c.site_id FROM exercises_course c WHERE c.id = {row}.course_id)"
_TASK_POINTS = ("station_id", "target_id", "second_id", "third_id")
PLACE = "Choose points of the same site, or delete the row."
ONE_SITE = (
    Holds(
        "task_points_are_on_the_site_of_its_course",
        "task",
        " OR ".join(_off_site(link, _COURSE_SITE) for link in _TASK_POINTS),
        PLACE,
        columns=(*_TASK_POINTS, "course_id"),
    ),
    Holds(
        "visible_points_are_on_one_site",
        "visible",
        _off_site(
            "target_id", "(SELECT s.site_id FROM exercises_point s WHERE s.id = {row}.station_id)"
        ),
        PLACE,
        columns=("station_id", "target_id"),
    ),
    Holds(
        "observed_bearing_points_are_on_its_site",
        "observedbearing",
        f"{_off_site('station_id', '{row}.site_id')} OR {_off_site('target_id', '{row}.site_id')}",
        PLACE,
        columns=("station_id", "target_id", "site_id"),
    ),
)


def _not_a_member(organisation: str, account: str) -> str:
    """An account that is not in an organisation."""
    return (
        f"NOT EXISTS (SELECT 1 FROM exercises_member m "
        f"WHERE m.organisation_id = {organisation} AND m.user_id = {account})"
    )


def _shared(model: str) -> Promise:
    """What is shared is shared by a member."""
    return Begins(
        f"{model}_is_shared_by_a_member",
        model,
        "{row}.organisation_id IS NOT NULL AND "
        + _not_a_member("{row}.organisation_id", "{row}.owner_id"),
        events=("INSERT", "UPDATE OF organisation_id"),
    )


OWNERS = (
    # when it is made: what is shared may be shared no longer later, and the class stays its owner's
    Begins(
        "class_owner_may_use_its_site",
        "courseclass",
        "NOT EXISTS (SELECT 1 FROM exercises_course c JOIN exercises_site s ON s.id = c.site_id "
        "WHERE c.id = {row}.course_id AND (s.owner_id = {row}.owner_id OR EXISTS "
        "(SELECT 1 FROM exercises_member m WHERE m.organisation_id = s.organisation_id "
        "AND m.user_id = {row}.owner_id)))",
        events=("INSERT", "UPDATE OF owner_id, course_id"),
    ),
    _shared("site"),
    _shared("kit"),
)

CLASS_AND_KEY = (
    Holds(
        "class_that_was_opened_has_a_key",
        "courseclass",
        "{row}.state <> 'draft' AND NOT EXISTS "
        "(SELECT 1 FROM exercises_key k WHERE k.course_class_id = {row}.id)",
        "Set it back to a draft (state draft; opened_at, closed_at, released_at empty), and open "
        "it from the desk.",
        columns=("state",),
    ),
    Stays(
        "class_that_was_opened_is_no_draft_again",
        "courseclass",
        "{old}.state <> 'draft' AND {row}.state = 'draft'",
    ),
    Begins(
        "key_version_follows_the_last",
        "key",
        "{row}.version <> 1 + (SELECT COALESCE(MAX(k.version), 0) FROM exercises_key k "
        "WHERE k.course_class_id = {row}.course_class_id)",
    ),
    Holds(
        "key_has_answers",
        "key",
        {
            SQLITE: "json_array_length({row}.answers) = 0",
            POSTGRESQL: "CASE jsonb_typeof({row}.answers) WHEN 'array' "
            "THEN jsonb_array_length({row}.answers) ELSE 0 END = 0",
        },
        "Set the class back to a draft, delete the key, and open it from the desk.",
        columns=("answers",),
    ),
)

# a person who was taken out has no name any more: what they gave may go with them
_IN_USE = (
    "EXISTS (SELECT 1 FROM exercises_person p WHERE p.id = {row}.person_id "
    "AND p.taken_out_at IS NULL)"
)
_SAID_OF_IN_USE = (
    "EXISTS (SELECT 1 FROM exercises_reading r JOIN exercises_person p ON p.id = r.person_id "
    "WHERE r.id = {row}.reading_id AND p.taken_out_at IS NULL)"
)
REMAINING = (
    Remains("reading_goes_only_with_its_person", "reading", f"{KEPT} AND {_IN_USE}"),
    Remains("reply_goes_only_with_its_reading", "reply", f"{KEPT} AND {_SAID_OF_IN_USE}"),
    Remains("label_goes_only_with_its_reading", "label", f"{KEPT} AND {_SAID_OF_IN_USE}"),
    Remains("key_goes_only_with_its_class", "key", KEPT),
    Remains("trail_entry_goes_only_with_its_class", "trailentry", KEPT),
)

_CORNER_OFF_EARTH = {
    SQLITE: "EXISTS (SELECT 1 FROM json_each({row}.corners) c "
    "WHERE json_extract(c.value, '$[0]') NOT BETWEEN -90 AND 90 "
    "OR json_extract(c.value, '$[1]') NOT BETWEEN -180 AND 180)",
    POSTGRESQL: "EXISTS (SELECT 1 FROM jsonb_array_elements({row}.corners) c "
    "WHERE (c.value ->> 0)::float NOT BETWEEN -90 AND 90 "
    "OR (c.value ->> 1)::float NOT BETWEEN -180 AND 180)",
}


def _coded(model: str, column: str, length: int) -> Promise:
    """A code as `models/codes.py` makes them: capitals and digits, so many."""
    return Holds(
        f"{model}_{column}_has_{length}_capitals_or_digits",
        model,
        {
            SQLITE: f"length({{row}}.{column}) <> {length} OR {{row}}.{column} GLOB '*[^A-Z0-9]*'",
            POSTGRESQL: f"{{row}}.{column} !~ '^[A-Z0-9]{{{{{length}}}}}$'",
        },
        "Give it a code of this form that no other has.",
        columns=(column,),
    )


FORMS = (
    Holds(
        "point_code_is_of_capitals_and_digits",
        "point",
        {
            SQLITE: "{row}.code = '' OR {row}.code GLOB '*[^A-Z0-9]*'",
            POSTGRESQL: "{row}.code !~ '^[A-Z0-9]+$'",
        },
        "Give the point a code of one to four capitals or digits.",
        columns=("code",),
    ),
    _coded("courseclass", "code", 6),
    _coded("point", "card_code", 6),
    _coded("invitation", "code", 12),
    _coded("organisation", "code", 12),
    Holds(
        "hazard_corners_are_on_earth",
        "hazard",
        {
            SQLITE: f"json_array_length({{row}}.corners) = 0 OR {_CORNER_OFF_EARTH[SQLITE]}",
            POSTGRESQL: "CASE jsonb_typeof({row}.corners) WHEN 'array' "
            "THEN jsonb_array_length({row}.corners) = 0 OR "
            f"{_CORNER_OFF_EARTH[POSTGRESQL]} ELSE true END",
        },
        "Draw it again on the map of its site.",
        columns=("corners",),
    ),
)

PROMISES: tuple[Promise, ...] = (
    *UNCHANGING,
    *REMAINING,
    *ONE_CLASS,
    *ONE_SITE,
    *OWNERS,
    *CLASS_AND_KEY,
    *FORMS,
)
