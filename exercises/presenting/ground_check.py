"""What was observed on the ground, ready to print: lines with fore and back bearing, stations,
compasses, and what does not fit. Figures that stand in one row add up as they are shown.
"""

from ..domain.earth.angles import back, difference, three_digits
from ..domain.surveying.ground import fore_and_back
from ..domain.surveying.ground.attraction import SURE
from ..domain.surveying.ground.next_sighting import most_telling
from ..drawing.plan import bearing_text
from ..languages import local, tell, tell_many, tell_signed
from .probabilities import percent
from .surveys import metres_text


def ground_text(checked):
    """Everything that the page shows of a site's observed bearings, `check_ground.Checked` or
    None.
    """
    if checked is None:
        return {}
    found, lines = checked.ground, list(fore_and_back.pairs(checked.sightings))
    return {
        "rows": [
            _row(row, sighting, found, strange)
            for row, sighting, strange in zip(
                checked.rows, checked.sightings, found.strange, strict=True
            )
        ],
        "pairs": [_pair(line) for line in lines],
        "stations": _stations(found, fore_and_back.carried(lines), checked.candidates),
        "compasses": [_compass(found, instrument) for instrument in found.compasses],
        "scatter": tell("{degrees:.1f}°", degrees=found.reading_sigma_deg(checked.sightings[0])),
        "declination": _declination(checked.declination) if checked.declination else "",
        "culprit": _culprit(found.culprit) if found.culprit else "",
    }


def _row(row, sighting, found, is_strange):
    read_deg = round(row.bearing_deg, 1)
    shown = {
        "row": row,
        "from": sighting.station,
        "to": sighting.target or tell("shadow of the sun"),
        "read": bearing_text(read_deg, row.north, _decimals(read_deg)),
        "is_strange": is_strange,
    }
    if sighting.off_deg is None:
        return shown | {"computed": "—", "off": "—", "left": "—"}
    off_deg = round(sighting.off_deg, 1)
    taken_out_deg = round(found.attraction[sighting.station].degrees, 1) + round(
        found.compasses[sighting.instrument].degrees, 1
    )
    return shown | {
        "computed": bearing_text(read_deg - off_deg, row.north, 1),
        "off": f"{tell_signed(off_deg, 1)}°",
        "left": f"{tell_signed(off_deg - taken_out_deg, 1)}°",
    }


def _decimals(read_deg):
    """How many a bearing was read to: a whole degree, or a part of one."""
    return 0 if read_deg == round(read_deg) else 1


def noted_text(rows):
    """What was noted just now, in a sentence."""
    bearings = ", ".join(observed_row_text(row) for row in rows)
    return tell("Noted: {bearings}.", bearings=bearings)


def observed_row_text(row):
    """An observed bearing in short: `A → B 066° magnetic`."""
    return (
        f"{row.station.code} → {row.target.code if row.target else tell('shadow of the sun')} "
        f"{bearing_text(row.bearing_deg, row.north, _decimals(round(row.bearing_deg, 1)))}"
    )


def noted_otherwise_text(instrument, number):
    """What was noted otherwise just now: how many bearings of a compass, and how they are noted
    now.
    """
    if instrument.north == "magnetic":
        return tell_many(
            "Compass {compass}: {number} bearing noted as read with the declination set.",
            "Compass {compass}: {number} bearings noted as read with the declination set.",
            number,
            compass=_number(instrument),
        )
    return tell_many(
        "Compass {compass}: {number} bearing noted as read with a compass not set.",
        "Compass {compass}: {number} bearings noted as read with a compass not set.",
        number,
        compass=_number(instrument),
    )


def _pair(line):
    fore_deg, back_deg = round(line.fore_deg, 1), round(line.back_deg, 1)
    return {
        "line": f"{line.start} – {line.end}",
        "fore": local(three_digits(fore_deg, _decimals(fore_deg))),
        "back": local(three_digits(back_deg, _decimals(back_deg))),
        "off": f"{tell_signed(difference(back_deg, back(fore_deg)), 1)}°",
        "agrees": line.agrees,
        "said": tell("agree: both ends are free, or bend alike")
        if line.agrees
        else tell("do not agree: one end or both bend the needle"),
    }


def _stations(found, corrections, candidates):
    rows = []
    for station, estimate in found.attraction.items():
        correction, judgement = corrections.get(station), found.judgement(station)
        rows.append(
            {
                "station": station,
                "estimate": f"{tell_signed(estimate.degrees, 1)}°",
                "interval": _interval(estimate),
                "probability": percent(estimate.probability),
                "is_faulty": judgement == "bent",
                "rule": f"{tell_signed(-correction, 1)}°" if correction is not None else "—",
                "said": _judgement(judgement),
                "next": _next_line(most_telling(found, station, candidates), found)
                if judgement in ("single", "unsettled")
                else "",
            }
        )
    return rows


def _judgement(judgement):
    return {
        "bent": tell("Local attraction."),
        "free": tell("Free."),
        "single": tell("Not settled: one sighting."),
        "unsettled": tell("Not settled."),
    }[judgement]


def _next_line(candidate, found):
    """The line to read next, in words; nothing where none would tell anything."""
    if candidate is None:
        return ""
    line = {"start": candidate.station, "end": candidate.target}
    if candidate.instrument is None:
        return tell("Next: read {start} → {end} with another compass.", **line)
    if len(found.compasses) > 1:
        return tell(
            "Next: read {start} → {end} with compass {compass}.",
            compass=_number(candidate.instrument),
            **line,
        )
    return tell("Next: read {start} → {end}.", **line)


def _interval(estimate):
    """Where a quantity lies at 95 %."""
    return tell(
        "{low}° to {high}°",
        low=tell_signed(estimate.low_deg, 1),
        high=tell_signed(estimate.high_deg, 1),
    )


def _number(instrument):
    return instrument.compass or tell("without a number")


def _compass(found, instrument):
    estimate = found.compasses[instrument]
    is_misnoted = found.is_misnoted(instrument)
    return {
        "number": _number(instrument),
        "noted": tell("noted as set for the declination") if instrument.north == "true" else "",
        "estimate": f"{tell_signed(estimate.degrees, 1)}°",
        "interval": _interval(estimate),
        "said": _misnoted(instrument, estimate) if is_misnoted else _compass_off(estimate),
        "is_misnoted": is_misnoted,
        "instrument": instrument,
    }


def _misnoted(instrument, estimate):
    off = tell_signed(estimate.degrees, 1)
    if instrument.north == "magnetic":
        return tell(
            "everything read with it is {degrees}° off, as much as the declination. Set, but noted "
            "as not set?",
            degrees=off,
        )
    return tell(
        "everything read with it is {degrees}° off, as much as the declination. Not set, but noted "
        "as set?",
        degrees=off,
    )


def _compass_off(estimate):
    if estimate.probability < SURE:
        return ""
    return tell("more than 3° off. Use another compass for teaching, and have this one looked at.")


def _declination(observed):
    """The declination as the shadows show it, beside the model's."""
    said = tell_many(
        "Declination from {number} shadow at {stations}: {degrees} ± {error:.1f}°, with the "
        "compass's own error in it; the model says {model} ± {model_error:.1f}°.",
        "Declination from {number} shadows at {stations}: {degrees} ± {error:.1f}°, with the "
        "compass's own error in it; the model says {model} ± {model_error:.1f}°.",
        observed.shadows,
        stations=", ".join(observed.stations),
        degrees=_east_or_west(observed.degrees),
        error=observed.error_deg,
        model=_east_or_west(observed.model.degrees),
        model_error=observed.model.uncertainty_deg,
    )
    if not observed.differs:
        return said
    return (
        said
        + " "
        + tell(
            "They differ by {degrees}°, more than a sound compass explains. Check the clock, the "
            "time zone and the compass's setting; then read the shadow with another compass, and "
            "at another station.",
            degrees=tell_signed(round(observed.degrees, 1) - round(observed.model.degrees, 1), 1),
        )
    )


def _east_or_west(declination_deg):
    """A declination to a tenth, with its side."""
    size = abs(declination_deg)
    if declination_deg < 0:
        return tell("{degrees:.1f}° W", degrees=size)
    return tell("{degrees:.1f}° E", degrees=size)


def _culprit(culprit):
    return tell_many(
        "Point {point} is the likely culprit: {number} line would agree if it lay {metres} m "
        "from where it is said to be, towards {bearing}.",
        "Point {point} is the likely culprit: {number} lines would agree if it lay {metres} m "
        "from where it is said to be, towards {bearing}.",
        culprit.lines,
        point=culprit.point,
        metres=metres_text((culprit.east_m**2 + culprit.north_m**2) ** 0.5),
        bearing=bearing_text(culprit.bearing_deg, "true"),
    )


def observed_text(compared, answer):
    """What the instructor's compass read beside an answer of the key: `078.2° magnetic, 2.1° more
    than the key (2 readings)`, from the bearing that the key shows.
    """
    off_deg = round(compared.off_deg, 1)
    key_deg = answer.norths.printed_bearings(answer.expected_deg, answer.north)["magnetic"]
    bearing = bearing_text(key_deg + off_deg, "magnetic", 1)
    if not off_deg:
        return tell_many(
            "{bearing}, as in the key ({number} reading)",
            "{bearing}, as in the key ({number} readings)",
            compared.readings,
            bearing=bearing,
        )
    if off_deg > 0:
        return tell_many(
            "{bearing}, {degrees:.1f}° more than the key ({number} reading)",
            "{bearing}, {degrees:.1f}° more than the key ({number} readings)",
            compared.readings,
            bearing=bearing,
            degrees=off_deg,
        )
    return tell_many(
        "{bearing}, {degrees:.1f}° less than the key ({number} reading)",
        "{bearing}, {degrees:.1f}° less than the key ({number} readings)",
        compared.readings,
        bearing=bearing,
        degrees=-off_deg,
    )
