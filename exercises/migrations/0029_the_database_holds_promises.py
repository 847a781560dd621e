"""The database holds what the use cases promise: constraints here; triggers are put in place after
every migration (`promises/enforce.py`). Rows in breach are listed first; nothing is changed then.
"""

import django.db.models.functions.text
import django.db.models.lookups
from django.conf import settings
from django.db import migrations, models

from exercises.promises import breaches


def rows_must_keep_them(apps, schema_editor):
    """Stops with the rows that break a promise, in plain words."""
    breaches.must_be_kept(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [
        ("exercises", "0028_doors"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(rows_must_keep_them, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name="checkitem",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("words")
                        ),
                        0,
                    )
                ),
                name="check_item_words_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="checkitem",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__gte", 1)), name="check_item_number_is_not_too_small"
            ),
        ),
        migrations.AddConstraint(
            model_name="checkitem",
            constraint=models.CheckConstraint(
                condition=models.Q(("done_at__isnull", False), ("done_by", ""), _connector="OR"),
                name="check_item_done_by_somebody_is_done",
            ),
        ),
        migrations.AddConstraint(
            model_name="compass",
            constraint=models.CheckConstraint(
                condition=models.Q(("graduation_deg__gte", 0.25), ("graduation_deg__lte", 30)),
                name="compass_graduation_deg_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="compass",
            constraint=models.CheckConstraint(
                condition=models.Q(("unit__in", ["deg", "mil6400", "mil6300", "mil6000"])),
                name="compass_unit_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="course",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="course_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="course",
            constraint=models.CheckConstraint(
                condition=models.Q(("pass_share__gte", 50), ("pass_share__lte", 100)),
                name="course_pass_share_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="class_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("time_zone")
                        ),
                        0,
                    )
                ),
                name="class_time_zone_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("feedback__in", ["at_once", "second_try", "released"])),
                name="class_feedback_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("key_source__in", ["computed", "observed"])),
                name="class_key_source_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("unit__in", ["deg", "mil6400", "mil6300", "mil6000"])),
                name="class_unit_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("pass_share__gte", 50), ("pass_share__lte", 100)),
                name="class_pass_share_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("closed_at__isnull", False), ("state", "closed")),
                    models.Q(models.Q(("state", "closed"), _negated=True), ("closed_at", None)),
                    _connector="OR",
                ),
                name="class_closed_at_is_known_when_closed",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("released_at", None),
                    models.Q(("state", "draft"), _negated=True),
                    _connector="OR",
                ),
                name="class_is_not_released_as_a_draft",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("names_until__gte", models.F("date"))),
                name="class_names_until_is_not_before_date",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("closed_at__gte", models.F("opened_at"))),
                name="class_closed_at_is_not_before_opened_at",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(("released_at__gte", models.F("opened_at"))),
                name="class_released_at_is_not_before_opened_at",
            ),
        ),
        migrations.AddConstraint(
            model_name="courseclass",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("removed_at", None),
                    models.Q(("state", "open"), _negated=True),
                    _connector="OR",
                ),
                name="class_in_the_bin_is_not_open",
            ),
        ),
        migrations.AddConstraint(
            model_name="failures",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("door")
                        ),
                        0,
                    )
                ),
                name="failures_door_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="group",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="group_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="hazard",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="hazard_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="hazard",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "power_line",
                            "vehicles",
                            "steel",
                            "fence",
                            "iron",
                            "road",
                            "water",
                            "drop",
                            "boundary",
                        ],
                    )
                ),
                name="hazard_kind_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="invitation",
            constraint=models.CheckConstraint(
                condition=models.Q(("expires_at__gte", models.F("made_at"))),
                name="invitation_expires_at_is_not_before_made_at",
            ),
        ),
        migrations.AddConstraint(
            model_name="invitation",
            constraint=models.CheckConstraint(
                condition=models.Q(("withdrawn_at__gte", models.F("made_at"))),
                name="invitation_withdrawn_at_is_not_before_made_at",
            ),
        ),
        migrations.AddConstraint(
            model_name="issue",
            constraint=models.CheckConstraint(
                condition=models.Q(("returned_at__gte", models.F("issued_at"))),
                name="issue_returned_at_is_not_before_issued_at",
            ),
        ),
        migrations.AddConstraint(
            model_name="key",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("reason")
                        ),
                        0,
                    )
                ),
                name="key_reason_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="kit",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="kit_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitcompass",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("number")
                        ),
                        0,
                    )
                ),
                name="kit_compass_number_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitcompass",
            constraint=models.CheckConstraint(
                condition=models.Q(("graduation_deg__gte", 0.25), ("graduation_deg__lte", 30)),
                name="kit_compass_graduation_deg_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitcompass",
            constraint=models.CheckConstraint(
                condition=models.Q(("unit__in", ["deg", "mil6400", "mil6300", "mil6000"])),
                name="kit_compass_unit_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitentry",
            constraint=models.CheckConstraint(
                condition=models.Q(("offset_deg__gte", -180), ("offset_deg__lte", 180)),
                name="kit_entry_offset_deg_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitentry",
            constraint=models.CheckConstraint(
                condition=models.Q(("error_deg__gte", 0)),
                name="kit_entry_error_deg_is_not_too_small",
            ),
        ),
        migrations.AddConstraint(
            model_name="label",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("cause")
                        ),
                        0,
                    )
                ),
                name="label_cause_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="label",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("was_cause")
                        ),
                        0,
                    )
                ),
                name="label_was_cause_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="observedbearing",
            constraint=models.CheckConstraint(
                condition=models.Q(("north__in", ["magnetic", "true"])),
                name="observed_bearing_north_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="observedbearing",
            constraint=models.CheckConstraint(
                condition=models.Q(("clock_s__gt", 0)),
                name="observed_bearing_clock_s_is_above_zero",
            ),
        ),
        migrations.AddConstraint(
            model_name="observedbearing",
            constraint=models.CheckConstraint(
                condition=models.Q(("clock_s", None), ("target", None), _connector="OR"),
                name="observed_bearing_clock_s_is_of_a_shadow",
            ),
        ),
        migrations.AddConstraint(
            model_name="organisation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="organisation_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("task")
                        ),
                        0,
                    )
                ),
                name="paper_entry_task_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("text")
                        ),
                        0,
                    )
                ),
                name="paper_entry_text_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperentry",
            constraint=models.CheckConstraint(
                condition=models.Q(("unit__in", ["deg", "mil6400", "mil6300", "mil6000"])),
                name="paper_entry_unit_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="person_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name_key")
                        ),
                        0,
                    )
                ),
                name="person_name_key_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("personal_code")
                        ),
                        0,
                    )
                ),
                name="person_personal_code_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("wider_band_deg__gte", 1), ("wider_band_deg__lte", 90)),
                name="person_wider_band_deg_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("pace_m__gte", 0.6), ("pace_m__lte", 2.6)),
                name="person_pace_m_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("lengths__in", ["m", "ft", "pace"])),
                name="person_lengths_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("wish__in", ["", "name", "all"])), name="person_wish_is_known"
            ),
        ),
        migrations.AddConstraint(
            model_name="phone",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("secret_digest")
                        ),
                        0,
                    )
                ),
                name="phone_secret_digest_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="point",
            constraint=models.CheckConstraint(
                condition=models.Q(("accuracy_m__gte", 0), ("accuracy_m__lte", 100)),
                name="point_accuracy_m_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="point",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="point_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="point",
            constraint=models.CheckConstraint(
                condition=models.Q(("method__in", ["receiver", "averaged", "surveyed", "map"])),
                name="point_method_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="point",
            constraint=models.CheckConstraint(
                condition=models.Q(("elevation_m__gte", -500), ("elevation_m__lte", 8900)),
                name="point_elevation_m_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="point",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("azimuth_deg", None), ("major_m", None), ("minor_m", None)),
                    models.Q(
                        ("azimuth_deg__isnull", False),
                        ("major_m__isnull", False),
                        ("minor_m__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="point_major_m_is_known_with_azimuth_deg",
            ),
        ),
        migrations.AddConstraint(
            model_name="point",
            constraint=models.CheckConstraint(
                condition=models.Q(("major_m__gte", models.F("minor_m")), ("minor_m__gt", 0)),
                name="point_ellipse_makes_sense",
            ),
        ),
        migrations.AddConstraint(
            model_name="point",
            constraint=models.CheckConstraint(
                condition=models.Q(("azimuth_deg__gte", 0), ("azimuth_deg__lt", 360)),
                name="point_azimuth_deg_is_on_the_circle",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("text")
                        ),
                        0,
                    )
                ),
                name="reading_text_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("unit__in", ["deg", "mil6400", "mil6300", "mil6000"])),
                name="reading_unit_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("source__in", ["phone", "handed", "paper", "demo"])),
                name="reading_source_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("problem__in", ["", "NotABearing", "NotATarget", "NotASpot"])),
                name="reading_problem_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("east_m", None), ("half_m", None), ("north_m", None)),
                    models.Q(
                        ("east_m__isnull", False),
                        ("half_m__isnull", False),
                        ("north_m__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="reading_east_m_is_known_with_half_m",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("half_m__gte", 0)), name="reading_half_m_is_not_too_small"
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("compass_graduation_deg__gt", 0)),
                name="reading_compass_graduation_deg_is_above_zero",
            ),
        ),
        migrations.AddConstraint(
            model_name="reply",
            constraint=models.CheckConstraint(
                condition=models.Q(("question__in", ["needle_end", "arithmetic", "aimed_at"])),
                name="reply_question_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="rotation",
            constraint=models.CheckConstraint(
                condition=models.Q(("version__gte", 1)), name="rotation_version_is_not_too_small"
            ),
        ),
        migrations.AddConstraint(
            model_name="rotation",
            constraint=models.CheckConstraint(
                condition=models.Q(("ended_at__gte", models.F("started_at"))),
                name="rotation_ended_at_is_not_before_started_at",
            ),
        ),
        migrations.AddConstraint(
            model_name="seento",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("sign")
                        ),
                        0,
                    )
                ),
                name="seen_to_sign_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="site_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(("safety_bearing_deg__gte", 0), ("safety_bearing_deg__lt", 360)),
                name="site_safety_bearing_deg_is_on_the_circle",
            ),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(("meeting_latitude__gte", -90), ("meeting_latitude__lte", 90)),
                name="site_meeting_latitude_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("meeting_longitude__gte", -180), ("meeting_longitude__lte", 180)
                ),
                name="site_meeting_longitude_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="site",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("meeting_latitude", None), ("meeting_longitude", None)),
                    models.Q(
                        ("meeting_latitude__isnull", False), ("meeting_longitude__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="site_meeting_latitude_is_known_with_meeting_longitude",
            ),
        ),
        migrations.AddConstraint(
            model_name="staff",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("name")
                        ),
                        0,
                    )
                ),
                name="staff_name_is_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="staff",
            constraint=models.CheckConstraint(
                condition=models.Q(("ended_at__gte", models.F("since"))),
                name="staff_ended_at_is_not_before_since",
            ),
        ),
        migrations.AddConstraint(
            model_name="survey",
            constraint=models.CheckConstraint(
                condition=models.Q(("method__in", ["receiver", "averaged", "surveyed", "map"])),
                name="survey_method_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="survey",
            constraint=models.CheckConstraint(
                condition=models.Q(("major_m__gte", 0), ("major_m__lte", 100)),
                name="survey_major_m_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="survey",
            constraint=models.CheckConstraint(
                condition=models.Q(("elevation_m__gte", -500), ("elevation_m__lte", 8900)),
                name="survey_elevation_m_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="survey",
            constraint=models.CheckConstraint(
                condition=models.Q(("azimuth_deg__gte", 0), ("azimuth_deg__lt", 360)),
                name="survey_azimuth_deg_is_on_the_circle",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__gte", 1)), name="task_number_is_not_too_small"
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "sight",
                            "follow",
                            "convert",
                            "back",
                            "map",
                            "face",
                            "fix",
                            "intersect",
                            "walk",
                        ],
                    )
                ),
                name="task_kind_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("north__in", ["magnetic", "true", "grid"])),
                name="task_north_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("given_north__in", ["", "magnetic", "true", "grid"])),
                name="task_given_north_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("feedback__in", ["", "at_once", "second_try", "released"])),
                name="task_feedback_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("angle_way__in", ["", "told", "on_map", "unsaid"])),
                name="task_angle_way_is_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("given_deg__gte", 0), ("given_deg__lte", 360)),
                name="task_given_deg_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("part_credit_deg__gte", 0), ("part_credit_deg__lte", 180)),
                name="task_part_credit_deg_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="task",
            constraint=models.CheckConstraint(
                condition=models.Q(("part_credit_m__gte", 0), ("part_credit_m__lte", 1000)),
                name="task_part_credit_m_is_in_range",
            ),
        ),
        migrations.AddConstraint(
            model_name="trailentry",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    django.db.models.lookups.GreaterThan(
                        django.db.models.functions.text.Length(
                            django.db.models.functions.text.Trim("verb")
                        ),
                        0,
                    )
                ),
                name="trail_entry_verb_is_not_empty",
            ),
        ),
    ]
