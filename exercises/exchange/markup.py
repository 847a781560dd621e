"""Waypoints of GPX and placemarks of KML. The only importer of defusedxml."""

import re
from xml.etree.ElementTree import ParseError

from defusedxml import ElementTree
from defusedxml.common import DefusedXmlException

from ..domain.words import say
from .features import Feature, feature_sheet
from .sheet import BadFile, Sheet

# of a file, opening and closing: a track of 2 MB with height and time has 110,000
MOST_TAGS = 150_000
MOST_DEPTH = 64  # of elements within each other: folders of placemarks stand some ten deep
CODE_ALONE = re.compile(r"[A-Z0-9]{1,4}")


def read_xml(text):
    """GPX or KML. Entities and document types are refused: no file of points needs them."""
    if text.count("<") > MOST_TAGS:
        raise BadFile(say("The file has too many elements to be read. Export the points alone."))
    try:
        root = ElementTree.fromstring(re.sub(r"^\s*<\?xml[^>]*\?>", "", text), forbid_dtd=True)
    except DefusedXmlException as error:
        raise BadFile(
            say(
                "The file declares entities or a document type, which a file of points never "
                "needs: it is refused. Export it again."
            )
        ) from error
    except (ParseError, ValueError) as error:
        raise BadFile(
            say("The file is not complete XML ({reason}). Export it again.", reason=str(error)[:80])
        ) from error
    _check_depth(root)
    name = _local(root.tag)
    if name == "gpx":
        return _gpx(root)
    if name == "kml":
        return _kml(root)
    raise BadFile(say("This XML is neither GPX nor KML (it begins with “{name}”).", name=name[:30]))


def _check_depth(root):
    """Raise BadFile for elements too deep within each other: a placemark is looked through with all
    that is in it, so that placemarks within placemarks would take the square of their number.
    """
    level = [root]
    for _ in range(MOST_DEPTH):
        level = [child for element in level for child in element]
        if not level:
            return
    raise BadFile(
        say(
            "Elements of the file stand more than {most} deep in each other. Export it again.",
            most=MOST_DEPTH,
        )
    )


def _local(tag):
    return tag.rpartition("}")[2].lower()


def _child(element, *names):
    """The text of the first child of one of these names, whatever its namespace."""
    for name in names:
        for child in element:
            if _local(child.tag) == name and child.text:
                return child.text.strip()
    return ""


def _gpx(root):
    """Waypoints: latitude, longitude, ele, name, desc. GPX 1.1, topografix.com/GPX/1/1. What a
    receiver states of a fix's quality is not an accuracy, and is left.
    """
    waypoints = [element for element in root if _local(element.tag) == "wpt"]
    others = sum(_local(element.tag) in ("trk", "rte") for element in root)
    if not waypoints:
        raise BadFile(
            say(
                "There are no waypoints in the file ({others} tracks and routes, which are not "
                "read).",
                others=others,
            )
        )
    return Sheet.checked(
        "gpx",
        ["name", "latitude", "longitude", "elevation_m", "description", "code"],
        ((number, _waypoint(element)) for number, element in enumerate(waypoints, start=1)),
        say("Tracks and routes are left out.") if others else "",
    )


def _waypoint(element):
    """The cells of a waypoint."""
    comment = _child(element, "cmt")
    return [
        _child(element, "name"),
        element.get("lat", ""),
        element.get("lon", ""),
        _child(element, "ele"),
        _child(element, "desc"),
        comment if CODE_ALONE.fullmatch(comment) else "",
    ]


def _kml(root):
    """Placemarks that are points: `coordinates` are longitude, latitude, height. OGC 12-007r2."""
    placemarks = [element for element in root.iter() if _local(element.tag) == "placemark"]
    features = [feature for mark in placemarks if (feature := _placemark(mark)) is not None]
    others = len(placemarks) - len(features)
    if not features:
        raise BadFile(
            say(
                "There are no placemarks of single points in the file ({others} of other kinds).",
                others=others,
            )
        )
    note = say("Placemarks that are no points are left out.") if others else ""
    return feature_sheet("kml", features, note)


def _placemark(placemark):
    """A placemark as a `Feature`; None where it is no point."""
    point = next((child for child in placemark if _local(child.tag) == "point"), None)
    if point is None:
        return None
    return Feature(
        _child(placemark, "name"),
        [part.strip() for part in _child(point, "coordinates").split(",")],
        _child(placemark, "description"),
        {
            data.get("name", ""): _child(data, "value")
            for data in placemark.iter()
            if _local(data.tag) == "data"
        },
    )
