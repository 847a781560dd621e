"""Points as files that other programs read, and that `reading.py` reads back to the same points.

Coordinates carry eight decimals, a millimetre; a point's own columns go along where a format has
room for them.
"""

import io
import json
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, indent, tostring

import xlsxwriter

from . import tables

COLUMNS = (
    "code",
    "name",
    "latitude",
    "longitude",
    "elevation_m",
    "accuracy_m",
    "method",
    "mark",
    "is_target",
    "sees",
)
EXTRA = COLUMNS[5:]
FORMATS = ("csv", "xlsx", "gpx", "geojson", "kml")
CONTENT_TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "gpx": "application/gpx+xml",
    "geojson": "application/geo+json",
    "kml": "application/vnd.google-earth.kml+xml",
}
GPX = "http://www.topografix.com/GPX/1/1"
KML = "http://www.opengis.net/kml/2.2"


@dataclass(frozen=True)
class Out:
    """A point to be written: text and numbers, `sees` codes parted by spaces. `elevation_m` is None
    where it is not known, and its cell stays empty.
    """

    code: str
    name: str
    latitude: float
    longitude: float
    elevation_m: float | None
    accuracy_m: float
    method: str
    mark: str
    is_target: bool
    sees: str

    def cells(self):
        """Its columns, in order, numbers to a millimetre."""
        return [
            self.code,
            self.name,
            f"{self.latitude:.8f}",
            f"{self.longitude:.8f}",
            "" if self.elevation_m is None else f"{self.elevation_m:.2f}",
            f"{self.accuracy_m:.4g}",
            self.method,
            self.mark,
            "yes" if self.is_target else "no",
            self.sees,
        ]


def write(form, points, title):
    """Points as a file of one of FORMATS, bytes; `title` names the collection."""
    return {"csv": _csv, "xlsx": _xlsx, "gpx": _gpx, "geojson": _geojson, "kml": _kml}[form](
        points, title
    )


def _csv(points, title):
    return ("\ufeff" + tables.as_text(COLUMNS, [point.cells() for point in points])).encode()


def _xlsx(points, title):
    stream = io.BytesIO()
    with xlsxwriter.Workbook(
        stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    ) as book:
        sheet, bold = book.add_worksheet("points"), book.add_format({"bold": True})
        sheet.write_row(0, 0, COLUMNS, bold)
        for row, point in enumerate(points, start=1):
            for column, cell in enumerate(point.cells()):
                if 2 <= column <= 5 and cell:
                    sheet.write_number(row, column, float(cell))
                else:
                    sheet.write_string(row, column, tables.disarmed(cell))
        sheet.freeze_panes(1, 0)
        sheet.autofit()
    return stream.getvalue()


def _gpx(points, title):
    root = Element("gpx", {"xmlns": GPX, "version": "1.1", "creator": "navclass"})
    SubElement(SubElement(root, "metadata"), "name").text = title
    for point in points:
        waypoint = SubElement(
            root, "wpt", {"lat": f"{point.latitude:.8f}", "lon": f"{point.longitude:.8f}"}
        )
        if point.elevation_m is not None:
            SubElement(waypoint, "ele").text = f"{point.elevation_m:.2f}"
        SubElement(waypoint, "name").text = point.name
        SubElement(
            waypoint, "cmt"
        ).text = point.code  # a comment: GPX has no place for a code of its own
        if point.mark:
            SubElement(waypoint, "desc").text = point.mark
    return _xml(root)


def _kml(points, title):
    root = Element("kml", {"xmlns": KML})
    document = SubElement(root, "Document")
    SubElement(document, "name").text = title
    for point in points:
        placemark = SubElement(document, "Placemark")
        SubElement(placemark, "name").text = point.name
        data, cells = (
            SubElement(placemark, "ExtendedData"),
            dict(zip(COLUMNS, point.cells(), strict=True)),
        )
        for name in ("code", *EXTRA):
            SubElement(SubElement(data, "Data", {"name": name}), "value").text = cells[name]
        SubElement(SubElement(placemark, "Point"), "coordinates").text = ",".join(
            filter(None, (cells["longitude"], cells["latitude"], cells["elevation_m"]))
        )
    return _xml(root)


def _xml(root):
    indent(root)
    return tostring(root, encoding="utf-8", xml_declaration=True)


def _geojson(points, title):
    features = [
        {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [
                    round(point.longitude, 8),
                    round(point.latitude, 8),
                    *([] if point.elevation_m is None else [round(point.elevation_m, 2)]),
                ],
            },
            "properties": dict(
                name=point.name, code=point.code, **dict(zip(EXTRA, point.cells()[5:], strict=True))
            ),
        }
        for point in points
    ]
    return json.dumps(
        {"type": "FeatureCollection", "name": title, "features": features},
        ensure_ascii=False,
        indent=1,
    ).encode()
