"""Who may see what: one table of all addresses, and what they name.

A status for Ines (the owner), Karl (another instructor), and nobody signed in.
"""

import pyotp
from django.utils import timezone

from exercises.exchange.writing import FORMATS
from exercises.models import Hazard, ObservedBearing, Passkey
from exercises.usecases import count_heads, give_roles, organise, second_step, survey_site
from exercises.usecases.trail import Account
from tests import cast, kits, rotated

IN, OUT, NOT_THERE = 200, 302, 404
# name, arguments, method: status for Ines (owner), Karl (another instructor), nobody signed in
TABLE = [
    ("home", {}, "get", IN, IN, IN),
    ("sign_in", {}, "get", IN, IN, IN),
    ("sign_out", {}, "post", OUT, OUT, OUT),
    ("account", {}, "get", IN, IN, OUT),
    ("account_password", {}, "get", IN, IN, OUT),
    ("second_step", {}, "get", OUT, OUT, OUT),  # nobody gave a password just now: to the sign-in
    ("app_new", {}, "get", IN, IN, OUT),
    ("app_remove", {"app"}, "get", IN, NOT_THERE, OUT),
    ("passkey_new", {}, "get", IN, IN, OUT),
    ("passkey_make", {}, "get", OUT, OUT, OUT),  # nobody said the password just now
    ("passkey_remove", {"passkey"}, "get", IN, NOT_THERE, OUT),
    ("passkey_take", {}, "post", OUT, OUT, OUT),  # nor gave it at sign-in
    ("recovery_codes", {}, "get", IN, OUT, OUT),  # Karl has no second step
    ("account_export", {}, "get", IN, IN, OUT),
    ("account_import", {}, "get", IN, IN, OUT),
    ("account_delete", {}, "get", IN, IN, OUT),
    ("session_end", {"session"}, "post", OUT, OUT, OUT),
    ("sign_out_everywhere", {}, "post", OUT, OUT, OUT),
    ("account_email", {}, "get", NOT_THERE, NOT_THERE, OUT),  # this server sends no mail
    ("forgotten", {}, "get", IN, IN, IN),
    ("password_new", {"uidb64", "token"}, "get", IN, IN, IN),
    ("sites", {}, "get", IN, IN, OUT),
    ("site_new", {}, "get", IN, IN, OUT),
    ("place_said", {}, "get", IN, IN, OUT),
    ("towns_in", {}, "get", 400, 400, OUT),
    ("site", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("site_edit", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("point_new", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("point_edit", {"pk", "point"}, "get", IN, NOT_THERE, OUT),
    ("point_delete", {"pk", "point"}, "get", IN, NOT_THERE, OUT),
    ("point_back", {"pk"}, "post", OUT, NOT_THERE, OUT),
    ("point_lines", {"pk", "station"}, "get", IN, NOT_THERE, OUT),
    ("point_surveys", {"pk", "point"}, "get", IN, NOT_THERE, OUT),
    ("survey_aside", {"pk", "point", "survey_pk"}, "post", OUT, NOT_THERE, OUT),
    ("point_here", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("point_here_again", {"pk", "point"}, "get", IN, NOT_THERE, OUT),
    ("point_measured", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("traverse", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("points_import", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("points_move", {"pk"}, "post", OUT, NOT_THERE, OUT),
    *((f"points_{form}", {"pk"}, "get", IN, NOT_THERE, OUT) for form in FORMATS),
    ("ground", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("compass_noted", {"pk"}, "post", OUT, NOT_THERE, OUT),
    ("observed_delete", {"pk", "row"}, "post", OUT, NOT_THERE, OUT),
    ("hazard_new", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("hazard_edit", {"pk", "hazard"}, "get", IN, NOT_THERE, OUT),
    ("hazard_delete", {"pk", "hazard"}, "post", OUT, NOT_THERE, OUT),
    ("course_change", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("course_pair", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("propose", {"course"}, "get", IN, NOT_THERE, OUT),
    ("proposal_take", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("course_new", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("course", {"course"}, "get", IN, NOT_THERE, OUT),
    ("task_up", {"course", "number"}, "post", OUT, NOT_THERE, OUT),
    ("task_down", {"course", "number"}, "post", OUT, NOT_THERE, OUT),
    ("task_copy", {"course", "number"}, "post", OUT, NOT_THERE, OUT),
    ("task_remove", {"course", "number"}, "post", OUT, NOT_THERE, OUT),
    ("task_edit", {"course", "number"}, "get", IN, NOT_THERE, OUT),
    ("tasks_order", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("course_shows", {"course"}, "get", IN, NOT_THERE, OUT),
    ("task_back", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("course_policies", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("class_new", {"course"}, "post", IN, NOT_THERE, OUT),
    ("class", {"class"}, "get", IN, NOT_THERE, OUT),
    ("class_arrivals", {"class"}, "get", IN, NOT_THERE, OUT),
    ("class_opening", {"class"}, "get", OUT, NOT_THERE, OUT),  # this class is open: to its page
    ("class_open", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("class_close", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("class_reopen", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("class_release", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("paper", {"class"}, "get", IN, NOT_THERE, OUT),
    # each role at each address of a class: test_roles.py
    ("live", {"class"}, "get", IN, NOT_THERE, OUT),
    ("live_parts", {"class"}, "get", IN, NOT_THERE, OUT),
    ("live_acts", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("helpers", {"class"}, "get", IN, NOT_THERE, OUT),
    ("invitation_withdraw", {"class", "invitation_row"}, "post", OUT, NOT_THERE, OUT),
    ("role_end", {"class", "staff_row"}, "post", OUT, NOT_THERE, OUT),
    ("class_names", {"class"}, "get", IN, NOT_THERE, OUT),
    ("class_trail", {"class"}, "get", IN, NOT_THERE, OUT),
    ("class_closing", {"class"}, "get", IN, NOT_THERE, OUT),
    ("roster", {"class"}, "get", IN, NOT_THERE, OUT),
    ("class_joining", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("groups_shuffle", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("person_change", {"class", "person"}, "post", OUT, NOT_THERE, OUT),
    ("person_left", {"class", "person"}, "post", OUT, NOT_THERE, OUT),
    ("person_back", {"class", "person"}, "post", OUT, NOT_THERE, OUT),
    ("person_same", {"class", "person"}, "get", IN, NOT_THERE, OUT),
    ("person_out", {"class", "person"}, "get", IN, NOT_THERE, OUT),
    ("headcounts", {"class"}, "get", IN, NOT_THERE, OUT),
    ("headcount", {"class", "count"}, "get", IN, NOT_THERE, OUT),
    ("headcount_state", {"class", "count"}, "get", IN, NOT_THERE, OUT),
    ("headcount_marks", {"class", "count"}, "post", OUT, NOT_THERE, OUT),
    ("invitation", {"invitation"}, "get", IN, IN, IN),
    ("site_safety", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("emergency", {"class"}, "get", IN, NOT_THERE, OUT),
    ("emergency_pdf", {"class"}, "get", IN, NOT_THERE, OUT),
    ("before_going_out", {"class"}, "get", IN, NOT_THERE, OUT),
    ("check_tick", {"class", "number"}, "post", OUT, NOT_THERE, OUT),
    ("rotation", {"class"}, "get", IN, NOT_THERE, OUT),
    ("rotation_keep", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("rotation_start", {"class", "rotation_version"}, "post", OUT, NOT_THERE, OUT),
    ("rotation_end", {"class", "rotation_version"}, "post", OUT, NOT_THERE, OUT),
    ("rotation_helpers", {"class", "rotation_version"}, "post", OUT, NOT_THERE, OUT),
    ("rotation_live", {"class"}, "get", IN, NOT_THERE, OUT),
    ("rotation_clock", {"class"}, "get", IN, NOT_THERE, OUT),
    ("rotation_state", {"class"}, "get", IN, NOT_THERE, OUT),
    ("rotation_marks", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("rotation_again", {"class"}, "get", IN, NOT_THERE, OUT),
    ("compasses_checked", {"class"}, "get", IN, NOT_THERE, OUT),
    ("kits", {}, "get", IN, IN, OUT),
    ("kit", {"kit"}, "get", IN, NOT_THERE, OUT),
    ("kit_settings", {"kit"}, "get", IN, NOT_THERE, OUT),
    ("kit_check", {"kit"}, "get", IN, NOT_THERE, OUT),
    ("kit_compass", {"kit", "kit_number"}, "get", IN, NOT_THERE, OUT),
    ("kit_entry", {"kit", "kit_number"}, "post", 400, NOT_THERE, OUT),
    ("kit_compass_remove", {"kit", "kit_number"}, "post", OUT, NOT_THERE, OUT),
    ("class_kit", {"class"}, "get", IN, NOT_THERE, OUT),
    ("kit_choose", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("kit_give", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("kit_back", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("kit_said", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("heard", {"code"}, "post", 403, 403, 403),
    ("site_export", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("site_copy", {"pk"}, "post", OUT, NOT_THERE, OUT),
    ("course_copy", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("course_name", {"course"}, "get", IN, NOT_THERE, OUT),
    ("class_again", {"class"}, "get", IN, NOT_THERE, OUT),
    ("retest", {"class"}, "get", OUT, NOT_THERE, OUT),  # this class is open: to its page
    ("class_settings", {"class"}, "get", IN, NOT_THERE, OUT),
    ("site_archive", {"pk"}, "post", OUT, NOT_THERE, OUT),
    ("site_unarchive", {"pk"}, "post", OUT, NOT_THERE, OUT),
    ("course_archive", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("course_unarchive", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("site_remove", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("course_remove", {"course"}, "get", IN, NOT_THERE, OUT),
    ("class_remove", {"class"}, "get", IN, NOT_THERE, OUT),
    ("site_put_back", {"pk"}, "post", OUT, NOT_THERE, OUT),
    ("course_put_back", {"course"}, "post", OUT, NOT_THERE, OUT),
    ("class_put_back", {"class"}, "post", OUT, NOT_THERE, OUT),
    ("waste_bin", {}, "get", IN, IN, OUT),
    ("organisations", {}, "get", IN, IN, OUT),
    ("organisation_join", {"sharing"}, "get", IN, IN, OUT),
    ("site_share", {"pk"}, "post", OUT, NOT_THERE, OUT),
    ("organisation_leave", {"organisation"}, "post", OUT, NOT_THERE, OUT),
    ("organisation_code", {"organisation"}, "post", OUT, NOT_THERE, OUT),
    ("organisation_lead", {"organisation"}, "post", NOT_THERE, NOT_THERE, OUT),  # nobody named
    ("organisation_part", {"organisation"}, "post", NOT_THERE, NOT_THERE, OUT),
    ("prints", {"class"}, "get", IN, NOT_THERE, OUT),
    ("printed", {"class", "what"}, "get", IN, NOT_THERE, OUT),
    ("card", {"card"}, "get", IN, IN, IN),
    ("card_in_capitals", {"card"}, "get", IN, IN, IN),
    ("person_band", {"class", "person"}, "post", OUT, NOT_THERE, OUT),
    ("class_key", {"class"}, "get", IN, NOT_THERE, OUT),
    ("debrief", {"class"}, "get", IN, NOT_THERE, OUT),
    ("results_csv", {"class"}, "get", IN, NOT_THERE, OUT),
    ("results_xlsx", {"class"}, "get", IN, NOT_THERE, OUT),
    ("attendance_csv", {"class"}, "get", IN, NOT_THERE, OUT),
    ("attendance_xlsx", {"class"}, "get", IN, NOT_THERE, OUT),
    ("debrief_alone", {"class"}, "get", IN, NOT_THERE, OUT),
    ("person_sheets", {"class"}, "get", OUT, NOT_THERE, OUT),
    ("person_sheet", {"class", "person"}, "get", IN, NOT_THERE, OUT),
    ("reading_label", {"class", "reading"}, "post", OUT, NOT_THERE, OUT),
    ("key_correct", {"class"}, "get", 400, NOT_THERE, OUT),
    ("over_time", {"pk"}, "get", IN, NOT_THERE, OUT),
    ("season", {}, "get", IN, IN, OUT),
    ("season_pdf", {}, "get", IN, IN, OUT),
    ("experience", {}, "get", IN, IN, OUT),
    ("experience_forget", {}, "post", OUT, OUT, OUT),
    ("experience_remember", {}, "post", OUT, OUT, OUT),
    ("counts_csv", {}, "get", IN, IN, OUT),
    ("nameless_csv", {}, "get", IN, IN, OUT),
    ("hand_in", {}, "get", IN, IN, OUT),
    ("set_language", {}, "post", OUT, OUT, OUT),
    ("desk_lengths", {}, "post", OUT, OUT, OUT),
    ("practice", {}, "get", IN, IN, IN),
    ("glossary", {}, "get", IN, IN, IN),
    ("retention", {}, "get", IN, IN, IN),
    ("bare_page", {}, "get", IN, IN, IN),
    ("style", {"version"}, "get", IN, IN, IN),
    ("script", {"name", "version"}, "get", IN, IN, IN),
    ("worker", {}, "get", IN, IN, IN),
    ("manifest", {}, "get", IN, IN, IN),
    ("trust", {}, "get", IN, IN, IN),
    ("authority", {}, "get", NOT_THERE, NOT_THERE, NOT_THERE),
    # The phone's pages know people by their cookie: without one, an account opens nothing.
    ("station", {"code"}, "get", OUT, OUT, OUT),
    ("mine", {"code"}, "get", OUT, OUT, OUT),
    ("own_classes", {}, "get", IN, IN, IN),
    ("forget_me", {"code"}, "get", OUT, OUT, OUT),
    ("compass", {"code"}, "get", OUT, OUT, OUT),
    ("pace", {"code"}, "get", OUT, OUT, OUT),
    ("lengths", {"code"}, "get", OUT, OUT, OUT),
    ("join", {"code"}, "get", IN, IN, IN),
    ("other_phone", {"code"}, "get", IN, IN, IN),
    ("state", {"code"}, "get", 403, 403, 403),
    ("readings", {"code"}, "post", 403, 403, 403),
    ("shown", {"code"}, "get", 403, 403, 403),
    ("at_home", {"code"}, "post", 403, 403, 403),
]


# what an address calls it where two mean different things by one name
CALLED = {
    "app": "key",
    "passkey": "key",
    "point": "code",
    "station": "code",
    "card": "code",
    "course": "pk",
    "class": "pk",
    "invitation": "code",
    "invitation_row": "row",
    "staff_row": "row",
    "organisation": "pk",
    "sharing": "code",
    "rotation_version": "version",
    "kit": "pk",
    "kit_number": "number",
    "session": "name",
}


def lay_out(open_class, mia):
    """A hazard, an observed bearing and a survey on Ines's site, and a reading in her class: what
    addresses name, by their names.
    """
    cast.send(open_class, mia, ("1", "044"))
    site = open_class.course.site
    points = {point.code: point for point in site.points.all()}
    found = survey_site.unsaved(
        points["T2"].as_domain().position,
        points["T2"].as_domain().error,
        "receiver",
        measured_on=cast.DAY,
        by=None,
        now=cast.NOW,
    )
    survey_site.add_survey(point=points["T2"], survey=found)
    owner = open_class.owner
    invitation = give_roles.invite(
        course_class=open_class,
        role="helper",
        sees_answers=False,
        days=60,
        by=Account(owner),
        now=timezone.now(),
    )
    staff, _ = give_roles.take_by_name(invitation=invitation, name="Oona", now=cast.NOW)
    organisation = organise.found(name="Three schools", by=owner, now=cast.NOW)
    secret = second_step.new_secret()
    second_step.add_app(
        account=owner,
        secret=secret,
        name="Phone",
        code=pyotp.TOTP(secret).at(cast.NOW),
        now=cast.NOW,
    )
    passkey = Passkey.objects.create(
        user=owner,
        name="Laptop",
        rp_id="testserver",
        credential_id="x",
        user_handle="x",
        public_key="x",
        sign_count=0,
        since=cast.NOW,
    )
    return {
        "passkey": passkey.pk,
        "app": owner.authenticator_apps.get().pk,
        "hazard": Hazard.objects.create(
            site=site, kind="water", name="pond", corners=[[-45.14, 170.1]]
        ).pk,
        "reading": open_class.readings.get().pk,
        "invitation": invitation.code,
        "invitation_row": invitation.pk,
        "staff_row": staff.pk,
        "organisation": organisation.pk,
        "count": count_heads.begin(
            course_class=open_class, occasion="before", by=Account(owner), now=cast.NOW
        ).pk,
        "sharing": organisation.code,
        "rotation_version": rotated.started(open_class).version,
        "kit": kits.kit_of(owner, "7").pk,
        "kit_number": "7",
        "survey_pk": found.pk,
        "row": ObservedBearing.objects.create(
            site=site,
            station=points["A"],
            target=points["B"],
            bearing_deg=66,
            observed_at=cast.NOW,
            received_at=cast.NOW,
        ).pk,
    }


def arguments(wanted, course_class, person, laid_out):
    site = course_class.course.site
    known = {
        **laid_out,
        "what": "pack",
        "card": site.points.get(code="A").card_code,
        "pk": site.pk,
        "point": "T2",
        "station": "A",
        "course": course_class.course_id,
        "number": 1,
        "class": course_class.pk,
        "person": person.pk,
        "code": course_class.code,
        "version": "any",
        "name": "class",
        "session": "of-nobody",
        "uidb64": "MQ",
        "token": "of-nobody",
    }
    return {CALLED.get(name, name): known[name] for name in wanted}
