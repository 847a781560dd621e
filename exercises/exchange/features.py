"""Points with properties of their own, as KML and GeoJSON have them, as a sheet."""

from dataclasses import dataclass

from .sheet import MOST_COLUMNS, MOST_ROWS, Sheet

COLUMNS = ("name", "latitude", "longitude", "elevation_m", "description")


@dataclass(frozen=True)
class Feature:
    """A point in texts. `numbers` are longitude, latitude and height, the last of which may be
    missing; `properties` are texts by name.
    """

    name: str
    numbers: list[str]
    description: str
    properties: dict[str, str]

    def cells(self, names):
        """Its cells: those of COLUMNS, and its properties of these names. Numbers after the height
        stand with it, where they are refused: they are not dropped.
        """
        longitude, latitude, *heights = [*self.numbers, "", ""]
        height = " ".join(filter(None, heights))
        properties = (self.properties.get(name, "") for name in names)
        return [self.name, latitude, longitude, height, self.description, *properties]


def feature_sheet(kind, features, note):
    """A sheet with a row for each feature, and a column for each property."""
    properties = dict.fromkeys(
        name for feature in features[:MOST_ROWS] for name in feature.properties
    )
    names = [name for name in properties if name and name not in COLUMNS][:MOST_COLUMNS]
    rows = ((line, feature.cells(names)) for line, feature in enumerate(features, start=1))
    return Sheet.checked(kind, [*COLUMNS, *names], rows, note)
