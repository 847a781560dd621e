"""Where words stand: beside which fields of the desk, with which causes and norths on a phone."""

from ...domain.mistakes.causes import IN_A_SUM, IN_THE_FIELD, ON_A_MAP, SURE, mistakes, parts

# By form and field. Forms of a phone have none: a page is not made longer for who joins.
FIELDS = {
    "SiteForm.grid_epsg": "utm",
    "PointForm.accuracy_m": "standard_uncertainty",
    "PointForm.mark": "mark",
    "NewPointFields.mark": "mark",
    "MappingForm.accuracy_m": "standard_uncertainty",
    "HeaderlessForm.accuracy_m": "standard_uncertainty",
    "TaskForm.kind": "task_kind",
    "TaskForm.legs": "leg",
    "TaskForm.north": "declination",
    "TaskForm.preset": "tolerance_band",
    "TaskForm.full_credit_m": "tolerance_band",
    "ProposalForm.north": "declination",
    "ProposalForm.preset": "tolerance_band",
    "ClassForm.key_source": "observed_key",
    "ObservedForm.north": "set_compass",
    "ShadowForm.north": "set_compass",
    "RadiationForm.bearing_error_deg": "standard_uncertainty",
    "TraverseForm.legs": "traverse",
    "TraverseForm.north": "declination",
    "TraverseForm.bearing_error_deg": "standard_uncertainty",
}
OF_NORTHS = {"magnetic": "magnetic_north", "true": "true_north", "grid": "grid_north"}

_DECLINATION = ("declination",)
OF_CAUSES = {
    IN_THE_FIELD: {
        "reversed": ("needle", "orienting_arrow"),
        "declination_ignored": _DECLINATION,
        "declination_wrong_way": _DECLINATION,
        "declination_twice": _DECLINATION,
        "convergence_ignored": ("convergence",),
        "other_station": ("mark",),
        "mirrored": ("boxed", "index_line"),
        "counted_back": ("graduation",),
        "quarter_turn": ("index_line",),
        "ten_off": ("graduation",),
        "mils": ("mil",),
        "station_fault": ("local_attraction",),
        "unexplained": ("boxed",),
        "paces": ("pace",),
        "leg_left_out": ("leg",),
    },
    IN_A_SUM: {
        "reversed": ("back_bearing",),
        "declination_ignored": _DECLINATION,
        "declination_wrong_way": _DECLINATION,
        "declination_twice": _DECLINATION,
        "convergence_ignored": ("convergence",),
    },
    ON_A_MAP: {
        "reversed": ("travel_arrow",),
        "declination_ignored": ("orienting_lines",),
        "convergence_ignored": ("convergence",),
        "counted_back": ("graduation",),
        "quarter_turn": ("orienting_lines",),
        "ten_off": ("graduation",),
        "mils": ("mil",),
    },
}  # by the setting in which an answer is come by; causes without such words have none
OF_QUESTIONS = {"needle_end": ("needle", "orienting_arrow"), "arithmetic": _DECLINATION}


def of_cause(code, probability, setting):
    """The words of what is said about a cause, combined or single: of its first mistake; none where
    it is not sure.
    """
    if probability < SURE:
        return ()
    return OF_CAUSES[setting].get((mistakes(code) or parts(code))[0], ())
