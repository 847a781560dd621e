"""What was observed on the ground, ready to print: lines with fore and back bearing, stations,
compasses, and what does not fit.
"""

from ..domain.earth.angles import three_digits
from ..domain.surveying import attraction
from ..drawing.plan import bearing_text
from ..languages import tell, tell_many, tell_signed
from .surveys import metres_text

PERHAPS = 0.1  # probability of more than three degrees of attraction, from which it is said


def ground_text(rows, sightings):
    """Everything that the page shows of some observed bearings (`rows`) and what was made of them
    (`sightings`, in the same order).
    """
    adjusted = attraction.adjust(sightings) if sightings else None
    lines = list(attraction.pairs(sightings))
    return {
        "rows": [
            _row(row, sighting, left, strange)
            for row, sighting, left, strange in zip(
                rows, sightings, adjusted.left_deg, adjusted.strange, strict=True
            )
        ]
        if adjusted
        else [],
        "pairs": [_pair(line) for line in lines],
        "stations": _stations(adjusted, attraction.carried(lines)) if adjusted else [],
        "compasses": [
            (compass or tell("without a number"), _estimate(estimate))
            for compass, estimate in adjusted.compasses.items()
        ]
        if adjusted
        else [],
        "culprit": _culprit(adjusted.culprit) if adjusted and adjusted.culprit else "",
    }


def _row(row, sighting, left_deg, is_strange):
    off_deg = sighting.off_deg
    return {
        "row": row,
        "from": sighting.station,
        "to": sighting.target or tell("shadow of the sun"),
        "read": bearing_text(row.bearing_deg, row.north),
        "computed": bearing_text(sighting.computed_deg, "magnetic")
        if sighting.computed_deg is not None
        else "—",
        "off": f"{tell_signed(off_deg, 1)}°" if off_deg is not None else "—",
        "left": f"{tell_signed(left_deg, 1)}°" if left_deg is not None else "—",
        "is_strange": is_strange,
    }


def noted_text(rows):
    """What was noted just now, in a sentence."""
    bearings = ", ".join(observed_row_text(row) for row in rows)
    return tell("Noted: {bearings}.", bearings=bearings)


def observed_row_text(row):
    """An observed bearing in short: `A → B 066° magnetic`."""
    return (
        f"{row.station.code} → {row.target.code if row.target else tell('shadow of the sun')} "
        f"{bearing_text(row.bearing_deg, row.north)}"
    )


def _pair(line):
    agrees = abs(line.disagreement_deg) <= attraction.AGREES_DEG
    return {
        "line": f"{line.start} – {line.end}",
        "fore": three_digits(line.fore_deg),
        "back": three_digits(line.back_deg),
        "off": f"{tell_signed(line.disagreement_deg, 1)}°",
        "agrees": agrees,
        "said": tell("agree: both ends are free")
        if agrees
        else tell("do not agree: one end or both bend the needle"),
    }


def _stations(adjusted, corrections):
    rows = []
    for station, estimate in adjusted.attraction.items():
        correction = corrections.get(station)
        rows.append(
            {
                "station": station,
                "estimate": _estimate(estimate),
                "probability": tell("{chance:.0%}", chance=estimate.probability),
                "is_faulty": estimate.probability >= attraction.FAULTY,
                "rule": f"{tell_signed(-correction, 1)}°" if correction is not None else "—",
                "said": tell("Local attraction.")
                if estimate.probability >= attraction.FAULTY
                else tell("Perhaps: read once more, from 3 to 5 m along the line too.")
                if estimate.probability >= PERHAPS
                else tell("Free."),
            }
        )
    return rows


def _estimate(estimate):
    return tell(
        "{degrees}° ± {error:.1f}°",
        degrees=tell_signed(estimate.degrees, 1),
        error=estimate.error_deg,
    )


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


def observed_text(compared):
    """What the instructor's compass read beside the key: `078° magnetic, 2.1° more than the key (2
    readings)`.
    """
    bearing, off_deg = bearing_text(compared.observed_deg, "magnetic"), compared.off_deg
    if abs(off_deg) < 0.05:
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
