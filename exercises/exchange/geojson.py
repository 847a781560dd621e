"""Points of GeoJSON: longitude, latitude, height in WGS 84. RFC 7946."""

import json

from ..domain.words import say
from .features import Feature, feature_sheet
from .sheet import BadFile


def read_geojson(text):
    """A sheet of the features that are points. Raises BadFile."""
    entries = _entries(text)
    features = [feature for entry in entries if (feature := _feature(entry)) is not None]
    others = len(entries) - len(features)
    if not features:
        raise BadFile(
            say("There are no single points in the file ({others} of other kinds).", others=others)
        )
    note = say("Features that are no points are left out.") if others else ""
    return feature_sheet("geojson", features, note)


def _entries(text):
    """What the collection of features holds, of whatever kind."""
    try:
        collection = json.loads(text, parse_int=str, parse_float=str, parse_constant=_no_constant)
    except (ValueError, RecursionError) as error:
        raise BadFile(say("The file is not complete JSON. Export it again.")) from error
    entries = collection.get("features") if isinstance(collection, dict) else None
    if not isinstance(entries, list):
        raise BadFile(say("This JSON is no GeoJSON collection of features."))
    system = json.dumps(collection.get("crs", "CRS84"))
    if "CRS84" not in system and "4326" not in system:
        raise BadFile(
            say(
                "The file names a coordinate system of its own, which GeoJSON no longer allows. "
                "Export it in WGS 84, or as CSV with its EPSG code."
            )
        )
    return entries


def _feature(entry):
    """A point as a `Feature`; None for all else."""
    geometry = entry.get("geometry") if isinstance(entry, dict) else None
    if not isinstance(geometry, dict) or geometry.get("type") != "Point":
        return None
    numbers = geometry.get("coordinates")
    if not isinstance(numbers, list):
        return None
    properties = entry.get("properties")
    texts = (
        {str(key): _text(value) for key, value in properties.items()}
        if isinstance(properties, dict)
        else {}
    )
    name, description = texts.pop("name", ""), texts.pop("description", "")
    return Feature(name, [str(number) for number in numbers], description, texts)


def _no_constant(text):
    raise ValueError(text)


def _text(value):
    """A value of JSON, in which numbers are texts already, as it would be typed."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " ".join(map(str, value)) if isinstance(value, list) else str(value)
