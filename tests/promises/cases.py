"""A row that breaks each promise: what is done past the use cases, by the promise's name."""

import datetime

from tests import cast

EARLIER = cast.NOW - datetime.timedelta(days=1)


def put(which, /, **values):
    """Change a row of the class."""
    return lambda world: world.put(which, **values)


def add(which, /, **values):
    """Write a row of the class once more, with other values."""
    return lambda world: world.add(which, **values)


def drop(name):
    """Delete a row of the class by itself."""
    return lambda world: world.drop(name)


def put_far(name, column, thing=None):
    """Let a row name one of the other class or site."""
    return lambda world: world.put(name, **{column: world.other[thing or column]})


def add_far(name, column, thing=None):
    """Write a row once more that names one of the other class or site."""
    return lambda world: world.add(name, **{column: world.other[thing or column]})


def unread(**values):
    """Write a reading once more, without what can be told of one that was graded."""
    return add("reading", value_deg=None, **values)


def _in_draft(world):
    """Somebody on the list of a class that is not open yet."""
    return world.rows["draft"].people.create(name="Early")


def _to_itself(world):
    world.add("observed", target=world.rows["point"])


def _sights_itself(world):
    world.put("task", target=world.rows["point"])


def _asks_why(world):
    world.add("reply", reading=world.rows["reading"], question="why")


def _own_double(world):
    world.put("person", same_as=world.rows["person"])


UNCHANGING = [
    ("reading_is_unchanged", put("reading", text="045")),
    ("reading_is_unchanged", put("reading", value_deg=45)),
    ("reading_is_unchanged", put("reading", target="T1")),
    ("reading_is_unchanged", put("reading", measured_at=EARLIER)),
    ("reading_is_unchanged", put("reading", received_at=EARLIER)),
    ("reading_is_unchanged", put("reading", client_id="00000000-0000-4000-9000-000000000009")),
    ("reading_is_unchanged", put("reading", is_late=True)),
    ("reading_is_unchanged", put("reading", compass_number="8")),
    ("reading_is_unchanged", put("unread", text="forty four")),
    ("reading_is_unchanged", lambda world: world.put("reading", person=world.rows["second"])),
    ("reading_goes_only_with_its_person", drop("reading")),
    ("reply_goes_only_with_its_reading", drop("reply")),
    ("label_goes_only_with_its_reading", drop("label")),
    ("key_is_unchanged", put("key", answers=[{"task": "1"}])),
    ("key_is_unchanged", put("key", points={})),
    ("key_is_unchanged", put("key", frozen_at=EARLIER)),
    ("key_is_unchanged", put("key", compasses={"1": {}})),
    ("key_is_unchanged", put("key", dropped=["1"])),
    ("key_is_unchanged", put("key", reason="another")),
    ("key_goes_only_with_its_class", drop("key")),
    ("survey_is_unchanged", put("survey", latitude=-45.2)),
    ("survey_is_unchanged", put("survey", received_at=EARLIER)),
    ("survey_is_unchanged", lambda world: world.put("survey", point=world.rows["target"])),
    ("reply_is_unchanged", put("reply", said="added")),
    ("label_is_unchanged", put("label", cause="reversed")),
    ("kit_entry_is_unchanged", put("entry", event="off", offset_deg=3)),
    ("headcount_is_unchanged", put("headcount", begun_at=EARLIER)),
    ("headcount_mark_is_unchanged", put("mark", is_here=False)),
    ("rotation_is_unchanged", put("rotation", plan={"stations": [], "groups": []})),
    ("rotation_mark_is_unchanged", put("rotation_mark", marked_at=EARLIER)),
    ("trail_entry_is_unchanged", put("trail", after={"version": 9})),
    ("trail_entry_is_unchanged", put("trail", at=EARLIER)),
    ("trail_entry_goes_only_with_its_class", drop("trail")),
    ("seen_to_is_unchanged", put("seen", at=EARLIER)),
    ("field_note_is_unchanged", put("note", words="All gates are open")),
    ("issue_is_unchanged", lambda world: world.put("issue", person=world.rows["second"])),
    ("issue_is_unchanged", put("issue", issued_at=EARLIER)),
    ("observed_bearing_is_unchanged", put("observed", bearing_deg=50)),
]
ONE_CLASS = [
    ("person_stays_in_its_class", put_far("bare", "course_class", "class")),
    ("phone_speaks_for_one_person", put_far("phone", "person")),
    ("group_stays_in_its_class", put_far("group", "course_class", "class")),
    ("compass_stays_in_its_class", put_far("compass", "course_class", "class")),
    ("compass_stays_in_its_class", put("compass", number="99")),
    ("paper_entry_stays_in_its_class", put("paper", task="2")),
    ("reading_person_is_in_its_class", add_far("reading", "person")),
    ("reading_compass_is_in_its_class", add("reading", compass_number="99")),
    ("reading_task_is_in_a_key_of_its_class", add("reading", task="77")),
    (
        "reading_task_is_in_a_key_of_its_class",
        lambda world: world.add(
            "reading", course_class=world.rows["draft"], person=_in_draft(world), compass_number=""
        ),
    ),
    ("person_group_is_in_its_class", put_far("person", "group")),
    ("person_compass_is_in_its_class", put_far("person", "compass")),
    ("person_same_as_is_in_its_class", put_far("second", "same_as", "person")),
    ("paper_entry_person_is_in_its_class", add_far("paper", "person")),
    ("reply_reading_is_in_its_class", add_far("reply", "reading")),
    ("label_reading_is_in_its_class", add_far("label", "reading")),
    (
        "issue_person_is_in_its_class",
        lambda world: world.add("issue", person=world.other["person"], compass=world.rows["spare"]),
    ),
    ("issue_compass_is_of_the_kit_of_its_class", add_far("issue", "compass", "kit_compass")),
    (
        "issue_is_to_somebody",
        lambda world: world.add("issue", person=None, compass=world.rows["spare"]),
    ),
    ("headcount_mark_person_is_in_its_class", add_far("mark", "person")),
    ("rotation_mark_is_of_its_plan", add("rotation_mark", group="g9")),
    ("rotation_mark_is_of_its_plan", add("rotation_mark", station="Z")),
    ("results_are_by_a_key_of_their_class", put("results", key_version=7)),
    (
        "staff_is_not_the_owner",
        lambda world: world.add("staff", user=world.rows["class"].owner),
    ),
    ("kit_compass_stays_in_its_kit", put("kit_compass", number="9")),
    ("class_keeps_its_course_once_opened", put("class", date=datetime.date(2026, 10, 4))),
]
ONE_SITE = [
    ("task_points_are_on_the_site_of_its_course", put_far("task", "station", "point")),
    ("task_points_are_on_the_site_of_its_course", put_far("task", "target", "point")),
    ("task_points_are_on_the_site_of_its_course", put_far("task", "second", "point")),
    ("task_points_are_on_the_site_of_its_course", put_far("task", "third", "point")),
    (
        "task_points_are_on_the_site_of_its_course",
        lambda world: world.add("task", number=9, station=world.other["point"]),
    ),
    (
        "task_stays_in_its_course",
        lambda world: world.put("task", course=world.rows["sister course"]),
    ),
    ("visible_points_are_on_one_site", put_far("visible", "target", "point")),
    ("visible_points_are_on_one_site", add_far("visible", "station", "point")),
    ("observed_bearing_points_are_on_its_site", add_far("observed", "station", "point")),
    ("observed_bearing_points_are_on_its_site", add_far("observed", "target", "point")),
    ("point_stays_on_its_site", put_far("point", "site")),
    ("course_stays_on_its_site", put_far("course", "site")),
    ("hazard_stays_on_its_site", put_far("hazard", "site")),
    (
        "class_owner_may_use_its_site",
        lambda world: world.add("draft", code="ABCDEF", course=world.other["course"]),
    ),
    ("class_owner_may_use_its_site", put_far("draft", "course")),
    (
        "site_is_shared_by_a_member",
        lambda world: world.put("site", organisation=world.rows["organisation"]),
    ),
    (
        "kit_is_shared_by_a_member",
        lambda world: world.put("kit", organisation=world.rows["organisation"]),
    ),
]
CLASS_AND_KEY = [
    (
        "class_that_was_opened_has_a_key",
        put("draft", state="open", opened_at=cast.NOW),
    ),
    (
        "class_that_was_opened_has_a_key",
        add("draft", code="ABCDEF", state="open", opened_at=cast.NOW),
    ),
    ("class_that_was_opened_is_no_draft_again", put("class", state="draft", opened_at=None)),
    ("class_opened_when_not_draft", put("class", opened_at=None)),
    ("class_in_the_bin_is_not_open", put("class", removed_at=cast.LATER)),
    ("class_is_not_released_as_a_draft", put("draft", released_at=cast.LATER)),
    ("class_closed_at_is_known_when_closed", put("class", state="closed")),
    ("class_closed_at_is_known_when_closed", put("class", closed_at=cast.LATER)),
    ("class_closed_at_is_not_before_opened_at", put("class", state="closed", closed_at=EARLIER)),
    ("class_released_at_is_not_before_opened_at", put("class", released_at=EARLIER)),
    ("class_names_until_is_not_before_date", put("class", names_until="2026-10-02")),
    ("key_version_follows_the_last", add("key", version=3)),
    ("key_version_follows_the_last", add("key", version=0)),
    ("key_has_answers", add("key", answers=[])),
    ("key_reason_is_not_empty", add("key", reason="")),
]
KNOWN = [
    ("task_kind_is_known", put("task", kind="guess")),
    ("task_north_is_known", put("task", north="south")),
    ("task_given_north_is_known", put("task", given_north="south")),
    ("task_feedback_is_known", put("task", feedback="never")),
    ("task_angle_way_is_known", put("task", angle_way="sung")),
    ("class_state_is_known", put("class", state="ajar")),
    ("class_feedback_is_known", put("class", feedback="never")),
    ("class_key_source_is_known", put("draft", key_source="dreamt")),
    ("class_unit_is_known", put("class", unit="gon")),
    ("compass_unit_is_known", put("compass", unit="gon")),
    ("kit_compass_unit_is_known", put("kit_compass", unit="gon")),
    ("group_way_is_known", put("group", way="pigeon")),
    ("person_lengths_is_known", put("person", lengths="mile")),
    ("person_wish_is_known", put("person", wish="cake")),
    ("reading_unit_is_known", add("reading", unit="gon")),
    ("reading_source_is_known", add("reading", source="rumour")),
    ("reading_problem_is_known", add("reading", problem="Boredom")),
    ("paper_entry_unit_is_known", put("paper", unit="gon")),
    ("reply_question_is_known", _asks_why),
    ("label_by_somebody", add("label", said_by="nobody")),
    ("point_method_is_known", put("point", method="dowsing")),
    ("survey_method_is_known", add("survey", method="dowsing")),
    ("hazard_kind_is_known", put("hazard", kind="dragon")),
    ("observed_bearing_north_is_known", put("observed", north="grid")),
    ("class_joining_is_known", put("class", joining="knock")),
    ("kit_entry_event_is_known", add("entry", event="lost")),
    ("headcount_occasion_is_known", add("headcount", occasion="lunch")),
    ("rotation_mark_has_what_it_needs", add("rotation_mark", what="wave")),
    ("invitation_to_a_role_that_is_given", put("invitation", role="owner")),
    (
        "invitation_shows_answers_to_helpers_alone",
        put("invitation", role="observer", sees_answers=True),
    ),
    ("staff_role_is_given", put("staff", role="owner")),
    ("staff_with_an_account_or_a_phone", put("staff", user=None)),
]
NOT_EMPTY = [
    ("site_name_is_not_empty", put("site", name="")),
    ("site_name_is_not_empty", put("site", name="   ")),
    ("course_name_is_not_empty", put("course", name="")),
    ("class_name_is_not_empty", put("class", name="")),
    ("class_time_zone_is_not_empty", put("class", time_zone="")),
    ("group_name_is_not_empty", put("group", name=" ")),
    ("person_name_is_not_empty", put("person", name="")),
    ("person_name_key_is_not_empty", put("person", name_key="")),
    ("person_personal_code_is_not_empty", put("person", personal_code="")),
    ("phone_secret_digest_is_not_empty", add("phone", secret_digest="")),
    ("point_name_is_not_empty", put("point", name="")),
    ("hazard_name_is_not_empty", put("hazard", name="")),
    ("organisation_name_is_not_empty", put("organisation", name="")),
    ("kit_name_is_not_empty", put("kit", name="")),
    ("kit_compass_number_is_not_empty", add("kit_compass", number="")),
    ("reading_text_is_not_empty", add("reading", text="")),
    ("paper_entry_text_is_not_empty", put("paper", text="")),
    ("paper_entry_task_is_not_empty", add("paper", task="")),
    ("label_cause_is_not_empty", add("label", cause="")),
    ("label_was_cause_is_not_empty", add("label", was_cause="")),
    ("check_item_words_is_not_empty", put("check", words="")),
    ("seen_to_sign_is_not_empty", add("seen", sign="")),
    ("note_says_something", add("note", words="")),
    ("staff_name_is_not_empty", put("staff", name="")),
    ("authenticator_app_name_is_not_empty", put("app", name="")),
    ("authenticator_app_sealed_secret_is_not_empty", put("app", sealed_secret="")),
    *(
        (f"passkey_{field}_is_not_empty", put("passkey", **{field: " "}))
        for field in ("name", "rp_id", "credential_id", "user_handle", "public_key")
    ),
    ("recovery_code_digest_is_not_empty", put("recovery", digest="")),
    ("trail_entry_verb_is_not_empty", add("trail", verb="")),
    ("failures_door_is_not_empty", put("failures", door="")),
    ("sent_form_digest_is_not_empty", put("sent_form", digest=" ")),
]
RANGES = [
    ("passkey_sign_count_is_in_range", put("passkey", sign_count=-1)),
    ("passkey_sign_count_is_in_range", put("passkey", sign_count=2**32)),
    ("site_on_earth", put("site", latitude=91)),
    ("site_on_earth", put("site", longitude=-180.5)),
    ("site_safety_bearing_deg_is_on_the_circle", put("site", safety_bearing_deg=360)),
    (
        "site_meeting_latitude_is_in_range",
        put("site", meeting_latitude=91, meeting_longitude=170),
    ),
    (
        "site_meeting_longitude_is_in_range",
        put("site", meeting_latitude=45, meeting_longitude=190),
    ),
    (
        "site_meeting_latitude_is_known_with_meeting_longitude",
        put("site", meeting_latitude=45),
    ),
    ("point_on_earth", put("point", latitude=-90.1)),
    ("point_accuracy_above_zero", put("point", accuracy_m=0)),
    ("point_accuracy_m_is_in_range", put("point", accuracy_m=101)),
    ("point_elevation_m_is_in_range", put("point", elevation_m=9000)),
    ("point_is_station_or_target", put("target", is_target=False)),
    ("point_major_m_is_known_with_azimuth_deg", put("point", major_m=2)),
    ("point_ellipse_makes_sense", put("point", major_m=1, minor_m=2, azimuth_deg=0)),
    ("point_azimuth_deg_is_on_the_circle", put("point", major_m=2, minor_m=1, azimuth_deg=360)),
    ("point_code_is_of_capitals_and_digits", put("point", code="a!")),
    ("point_card_code_has_6_capitals_or_digits", put("point", card_code="abc")),
    ("survey_on_earth", add("survey", longitude=181)),
    ("survey_ellipse_makes_sense", add("survey", minor_m=0)),
    ("survey_major_m_is_in_range", add("survey", major_m=500)),
    ("survey_elevation_m_is_in_range", add("survey", elevation_m=-501)),
    ("survey_azimuth_deg_is_on_the_circle", add("survey", azimuth_deg=-1)),
    ("visible_not_itself", lambda world: world.put("visible", target=world.rows["point"])),
    ("hazard_corners_are_on_earth", put("hazard", corners=[])),
    ("hazard_corners_are_on_earth", put("hazard", corners=[[-45, 170], [95, 170]])),
    ("observed_bearing_on_the_circle", add("observed", bearing_deg=360)),
    ("observed_bearing_not_to_itself", _to_itself),
    ("observed_bearing_clock_s_is_above_zero", add("observed", target=None, clock_s=0)),
    ("observed_bearing_clock_s_is_of_a_shadow", add("observed", clock_s=5)),
    ("course_pass_share_is_in_range", put("course", pass_share=30)),
    ("class_pass_share_is_in_range", put("class", pass_share=120)),
    ("courseclass_code_has_6_capitals_or_digits", put("class", code="abc")),
    ("invitation_code_has_12_capitals_or_digits", put("invitation", code="SHORT")),
    ("organisation_code_has_12_capitals_or_digits", put("organisation", code="SHORT")),
    ("task_number_is_not_too_small", put("task", number=0)),
    ("task_station_is_not_target", _sights_itself),
    ("task_band_makes_sense", put("task", full_credit_deg=12)),
    ("task_band_in_metres_makes_sense", put("task", full_credit_m=0)),
    ("task_given_deg_is_in_range", put("task", given_deg=400)),
    ("task_part_credit_deg_is_in_range", put("task", part_credit_deg=181)),
    ("task_part_credit_m_is_in_range", put("task", part_credit_m=1001)),
    ("compass_graduation_deg_is_in_range", put("compass", graduation_deg=0)),
    ("kit_compass_graduation_deg_is_in_range", put("kit_compass", graduation_deg=40)),
    ("person_wider_band_deg_is_in_range", put("person", wider_band_deg=-5)),
    ("person_pace_m_is_in_range", put("person", pace_m=30)),
    ("person_not_their_own_double", _own_double),
    ("lessons_at_home_have_a_time", put("person", home_lessons="hold")),
    ("reading_on_the_circle", add("reading", value_deg=360)),
    ("reading_attempt_from_one", add("reading", attempt=0)),
    ("reading_east_m_is_known_with_half_m", unread(east_m=3)),
    ("reading_half_m_is_not_too_small", unread(east_m=3, north_m=4, half_m=-1)),
    ("reading_compass_graduation_deg_is_above_zero", add("reading", compass_graduation_deg=0)),
    ("paper_entry_by_one_of_two_hands", put("paper", hand=3)),
    ("label_of_a_probability", add("label", was_probability=1.5)),
    ("kit_entry_offset_deg_is_in_range", add("entry", offset_deg=200)),
    ("kit_entry_error_deg_is_not_too_small", add("entry", error_deg=-1)),
    ("issue_returned_at_is_not_before_issued_at", put("issue", returned_at=EARLIER)),
    ("rotation_version_is_not_too_small", add("rotation", version=0)),
    ("rotation_ended_when_started", put("rotation", started_at=None, ended_at=cast.LATER)),
    ("rotation_ended_at_is_not_before_started_at", put("rotation", ended_at=EARLIER)),
    ("check_item_number_is_not_too_small", put("check", number=0)),
    ("check_item_done_by_somebody_is_done", put("check", done_by="Niamh")),
    ("invitation_expires_at_is_not_before_made_at", put("invitation", expires_at=EARLIER)),
    ("invitation_withdrawn_at_is_not_before_made_at", put("invitation", withdrawn_at=EARLIER)),
    ("staff_ended_at_is_not_before_since", put("staff", ended_at=EARLIER)),
]
CASES = [*UNCHANGING, *ONE_CLASS, *ONE_SITE, *CLASS_AND_KEY, *KNOWN, *NOT_EMPTY, *RANGES]
