"""Forms of the survey: points brought in, measured from another, surveyed at the mark; hazards;
bearings observed on the ground.
"""

import datetime
import json
import math
import re
import uuid
import zoneinfo

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from ..domain.earth import angles, coordinates, geodesy, magnetics, sun
from ..domain.earth.geodesy import Position
from ..domain.planning import hazards
from ..domain.surveying import survey
from ..domain.tasks.site import FAR_FROM_SITE_M
from ..exchange import reading, rows
from ..exchange.columns import FIELDS, guess_columns
from ..exchange.sheet import BadFile, Sheet
from ..exchange.slips import slip
from ..languages import tell, told
from ..models import Hazard, ObservedBearing, Point
from ..models.course import NORTH_CHOICES
from ..models.course_class import is_time_zone
from .fields import NumberField
from .site import PointFields

MOST_FIXES = 3600
BELIEVED = datetime.timedelta(days=2)
CHOOSE = _("Choose …")
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class BearingField(forms.CharField):
    """A bearing as people write it, `angles.Written` degrees; empty is None."""

    def __init__(self, **kwargs):
        super().__init__(max_length=angles.LONGEST_TEXT, **kwargs)

    def clean(self, value):
        """Degrees in [0, 360), or None."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return angles.parse_bearing(text).degrees
        except angles.NotABearing as error:
            raise forms.ValidationError(told(error)) from error


class SheetForm(forms.Form):
    """A file or a pasted text, as a `Sheet`; the second time the sheet comes back with the
    page.
    """

    file = forms.FileField(
        label=_("File"), required=False, help_text=_("CSV, XLSX, GPX waypoints, GeoJSON or KML.")
    )
    text = forms.CharField(
        label=_("Or paste places here"),
        required=False,
        strip=False,
        max_length=100_000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text=_(
            "A place in each line, in any notation: degrees, UTM, MGRS, or what a phone shares. "
            "A name before it, with a colon: Gate: 45.13020 S, 170.10030 E"
        ),
    )

    def clean(self):
        """Read it; what is wrong is an error of the field that it came from."""
        cleaned = super().clean()
        file, text = cleaned.get("file"), cleaned.get("text")
        if not file and not (text or "").strip():
            raise forms.ValidationError(_("Choose a file, or paste places."))
        try:
            cleaned["sheet"] = (
                reading.read_file(file.name, file.read(reading.LARGEST_FILE + 1))
                if file
                else reading.read_csv(text)
            )
            cleaned["source"] = file.name if file else tell("pasted")
        except BadFile as error:
            self.add_error("file" if file else "text", told(error))
        return cleaned


class MappingForm(forms.Form):
    """How a sheet is read: a column for each field, the grid of eastings and northings, what holds
    where the sheet is silent, and what becomes of points that are there.
    """

    sheet = forms.CharField(widget=forms.HiddenInput, max_length=1_000_000)
    source = forms.CharField(widget=forms.HiddenInput, required=False, max_length=200)
    epsg = forms.IntegerField(
        label=_("EPSG code of eastings and northings"),
        required=False,
        min_value=1024,
        max_value=999_999,
        help_text=_("Empty for the site's UTM zone. Any datum: it is turned into WGS 84."),
    )
    accuracy_m = NumberField(
        label=_("Accuracy where none is stated, metres"),
        initial=3.0,
        min_value=0.001,
        max_value=100,
    )
    method = forms.ChoiceField(label=_("Method"), choices=Point.Method)
    on = forms.DateField(label=_("Surveyed on"), widget=DATE)
    again = forms.ChoiceField(
        label=_("Points that are here already"),
        choices=[
            ("combine", _("keep both surveys and combine them")),
            ("replace", _("take the new position instead")),
            ("leave", _("leave as they are")),
        ],
    )

    def __init__(self, *args, sheet=None, **kwargs):
        super().__init__(*args, **kwargs)
        columns = (
            [
                (name, sheet.rows[0][index] if sheet.rows else "")
                for index, name in enumerate(sheet.columns)
            ]
            if sheet
            else ()
        )
        choices = [
            ("", _("—")),
            *(
                (str(index), f"{name}: {value[:24]}" if value else name)
                for index, (name, value) in enumerate(columns)
            ),
        ]
        for key, name in FIELDS.items():
            self.fields[f"column_{key}"] = forms.ChoiceField(
                label=told(name), choices=choices, required=False
            )

    @classmethod
    def of_sheet(cls, sheet, source, on):
        """The first form of a sheet, its columns guessed by their names."""
        guessed = {
            f"column_{key}": str(index) for key, index in guess_columns(sheet.columns).items()
        }
        return cls(
            sheet=sheet,
            initial={
                "sheet": json.dumps(sheet.to_plain(), ensure_ascii=False),
                "source": source,
                "on": on,
                "method": Point.Method.RECEIVER,
                **guessed,
            },
        )

    def mapping(self):
        """The fields that choose columns, for the page."""
        return [self[name] for name in self.fields if name.startswith("column_")]

    def others(self):
        """The other fields, for the page."""
        return [self[name] for name in ("epsg", "accuracy_m", "method", "on", "again")]

    def settings(self, height_m=0.0):
        """The settings for `rows.interpret`, from what was chosen or what stands there at first."""
        usual = {
            name: self.get_initial_for_field(field, name) for name, field in self.fields.items()
        }
        values = (
            {**usual, **self.cleaned_data} if self.is_bound else usual
        )  # what is wrong does not hide the rows: it is said beside its field
        columns = {
            key: int(values[f"column_{key}"]) for key in FIELDS if values.get(f"column_{key}")
        }
        named = {
            int(name.removeprefix("code-")): (
                code,
                self.data.get(name.replace("code-", "name-"), ""),
                self.data.get(name.replace("code-", "mark-"), ""),
            )
            for name, code in self.data.items()
            if re.fullmatch(r"code-\d{1,6}", name)
        }
        return rows.Settings(
            columns, values.get("epsg"), values["accuracy_m"], values["method"], named, height_m
        )


def sheet_of(data):
    """The sheet that came back with the page. Raises BadFile."""
    try:
        return Sheet.from_plain(json.loads(data.get("sheet", "")))
    except (ValueError, RecursionError) as error:
        raise (
            error
            if isinstance(error, BadFile)
            else BadFile(
                tell("The table that came with the page cannot be read. Choose the file once more.")
            )
        ) from error


class NewPointFields(PointFields):
    """What a point is that is about to be surveyed; its code must be free, which a form without the
    site would not look at.
    """

    def clean(self):
        """Refuse a code that the site has."""
        cleaned = super().clean()
        if self.instance.site.points.filter(code=cleaned.get("code", "")).exists():
            self.add_error(
                "code", _("This site has a point of that code already. Give each point its own.")
            )
        return cleaned


class RadiationForm(forms.Form):
    """A bearing and a distance from a known point, with their uncertainties, and the day they were
    measured on.
    """

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    start = forms.ModelChoiceField(
        label=_("Measured from"), queryset=Point.objects.none(), empty_label=CHOOSE
    )
    bearing_deg = BearingField(label=_("Bearing"))
    north = forms.ChoiceField(
        label=_("North of the bearing"), choices=NORTH_CHOICES, initial="magnetic"
    )
    distance_m = NumberField(
        label=_("Distance, metres"),
        min_value=0.1,
        max_value=5000,
        help_text=_(
            "Horizontal: with the tape level, or slope distance times the cosine of the slope."
        ),
    )
    bearing_error_deg = NumberField(
        label=_("Uncertainty of the bearing, degrees"),
        min_value=0.001,
        max_value=20,
        initial=1,
        help_text=_(
            "Standard uncertainty: a baseplate compass 1 to 2, a prismatic one 0.5, a theodolite "
            "0.01."
        ),
    )
    distance_error_m = NumberField(
        label=_("Uncertainty of the distance, metres"),
        min_value=0.001,
        max_value=50,
        initial=0.1,
        help_text=_("A tape 0.05 to 0.2, paces 2 to 5 % of the distance."),
    )
    on = forms.DateField(label=_("Measured on"), widget=DATE)

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["start"].queryset = site.points.all()

    def clean_bearing_deg(self):
        """Asked for."""
        value = self.cleaned_data["bearing_deg"]
        if value is None:
            raise forms.ValidationError(_("Type the bearing."))
        return value


class HereForm(forms.Form):
    """A survey with a phone at the mark: the fixes that it took, or a place that was typed."""

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    fixes = forms.CharField(widget=forms.HiddenInput, required=False, max_length=600_000)
    place = forms.CharField(
        label=_("Place, typed"),
        required=False,
        max_length=coordinates.LONGEST_TEXT,
        help_text=_("Degrees, UTM, MGRS, or pasted from a phone's share text."),
    )
    accuracy_m = NumberField(
        label=_("Its accuracy, metres"),
        required=False,
        min_value=0.001,
        max_value=100,
        help_text=_("One sigma. Empty: 3 m, or what the text itself says."),
    )

    def __init__(self, *args, near, **kwargs):
        super().__init__(*args, **kwargs)
        self.near = near

    def clean(self):
        """The visit with the phone, or the typed place; both must lie near the site."""
        cleaned = super().clean()
        if cleaned.get("fixes") and "typed" not in self.data:
            self._average(cleaned)
        elif cleaned.get("place"):
            try:
                cleaned["typed"] = coordinates.read_place(cleaned["place"], self.near)
                self._near(cleaned["typed"].position, "place")
            except (coordinates.NotAPlace, geodesy.PositionOutOfRange) as error:
                self.add_error("place", told(error))
        elif not self.errors:
            self.add_error("place", _("Let the phone take positions, or type the place."))
        return cleaned

    def _average(self, cleaned):
        try:
            fixes = [_fix(one) for one in json.loads(cleaned["fixes"])[:MOST_FIXES]]
            cleaned["visit"] = survey.average(fixes)
            now = timezone.now()  # a phone's clock is believed to within two days
            cleaned["on"] = survey.day_at(
                fixes[0].at if abs(fixes[0].at - now) < BELIEVED else now, self.near.longitude_deg
            )
            self._near(cleaned["visit"].position, None)
        except survey.NoFixes as error:
            self.add_error(None, told(error))
        except (ValueError, KeyError, TypeError, OverflowError, OSError, RecursionError):
            self.add_error(
                None, _("What the phone sent cannot be read. Take the positions once more.")
            )

    def _near(self, position, where):
        metres = geodesy.apart_m(position, self.near)
        if metres > FAR_FROM_SITE_M:
            self.add_error(
                where,
                tell(
                    "This is {distance:.0f} km from the site. {slip}",
                    distance=metres / 1000.0,
                    slip=slip(position, self.near),
                ),
            )


def _fix(plain):
    """One fix as the phone sends it: latitude, longitude, radius, milliseconds since 1970, height
    or null.
    """
    latitude, longitude, radius_m, at_ms, height_m = plain
    if not (math.isfinite(radius_m) and 0 < radius_m < 100_000):
        raise ValueError(radius_m)
    height_m = None if height_m is None else Position(0.0, 0.0, float(height_m)).elevation_m
    return survey.Fix(
        Position(float(latitude), float(longitude)),
        float(radius_m),
        datetime.datetime.fromtimestamp(at_ms / 1000.0, datetime.UTC),
        height_m,
    )


class HazardForm(forms.ModelForm):
    """Something that bends needles or endangers people: its kind, and its corners, one in each
    line, in any notation or as the code of a point.
    """

    places = forms.CharField(
        label=_("Corners, one in each line"),
        max_length=10_000,
        widget=forms.Textarea(attrs={"rows": 6, "data-corners": ""}),
        help_text=_(
            "In any notation, or the code of a point. One line is a spot, several are a line. Or "
            "draw it on the map."
        ),
    )

    class Meta:
        model = Hazard
        fields = ["kind", "name", "places", "is_area"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["places"] = "\n".join(
                f"{latitude:.6f}, {longitude:.6f}" for latitude, longitude in self.instance.corners
            )

    def clean_places(self):
        """The corners, each near the site."""
        site, corners = self.instance.site, []
        by_code = {point.code: point.as_domain().position for point in site.points.all()}
        for number, line in enumerate(
            (line for line in self.cleaned_data["places"].splitlines() if line.strip()), start=1
        ):
            try:
                position = (
                    by_code.get(line.strip().upper())
                    or coordinates.read_place(line, site.position()).position
                )
            except (coordinates.NotAPlace, geodesy.PositionOutOfRange) as error:
                raise forms.ValidationError(
                    tell("Corner {number}: {reason}", number=number, reason=told(error))
                ) from error
            if geodesy.apart_m(position, site.position()) > FAR_FROM_SITE_M:
                raise forms.ValidationError(
                    tell(
                        "Corner {number} is far from the site. {slip}",
                        number=number,
                        slip=slip(position, site.position()),
                    )
                )
            corners.append([position.latitude_deg, position.longitude_deg])
        if len(corners) > 200:
            raise forms.ValidationError(tell("Up to 200 corners."))
        self.instance.corners = corners
        return self.cleaned_data["places"]

    def clean(self):
        """The outline must make sense."""
        cleaned = super().clean()
        if not self.errors:
            self.instance.is_area = cleaned["is_area"]
            try:
                self.instance.as_domain()
            except hazards.BadShape as error:
                self.add_error("places", told(error))
        return cleaned


def _check_day(form, on, point):
    """Refuse a day that has not come, and one that no magnetic model covers: a bearing that cannot
    be compared helps nobody.
    """
    if on > timezone.now().date() + datetime.timedelta(days=1):
        form.add_error("on", _("This day has not come yet. Check the date."))
        return
    try:
        magnetics.declination(point.as_domain().position, on)
    except magnetics.NoDeclination as error:
        form.add_error("on", told(error))


class ObservedForm(forms.Form):
    """Fore and back bearing of a line; the back one may be missing."""

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    start = forms.ModelChoiceField(
        label=_("From"), queryset=Point.objects.none(), empty_label=CHOOSE
    )
    end = forms.ModelChoiceField(label=_("To"), queryset=Point.objects.none(), empty_label=CHOOSE)
    fore_deg = BearingField(label=_("Fore bearing, read there"), required=False)
    back_deg = BearingField(label=_("Back bearing, read at the other end"), required=False)
    north = forms.ChoiceField(label=_("The compass shows"), choices=ObservedBearing.North)
    compass = forms.CharField(label=_("Compass number"), required=False, max_length=12)
    on = forms.DateField(label=_("Read on"), widget=DATE)

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.site = site
        self.fields["start"].queryset = self.fields["end"].queryset = site.points.all()

    def clean(self):
        """Two points, and at least one of the two bearings."""
        cleaned = super().clean()
        if cleaned.get("start") and cleaned.get("start") == cleaned.get("end"):
            self.add_error("end", _("Choose another point: a line has two ends."))
        if not self.errors and cleaned.get("fore_deg") is None and cleaned.get("back_deg") is None:
            self.add_error("fore_deg", _("Type the bearing that you read, fore or back or both."))
        if not self.errors:
            _check_day(self, cleaned["on"], cleaned["start"])
        return cleaned

    def bearings(self, now):
        """The rows to store, at noon of the day: a declination does not change within it."""
        one, at = (
            self.cleaned_data,
            datetime.datetime.combine(self.cleaned_data["on"], datetime.time(12), datetime.UTC),
        )
        read = (
            (one["start"], one["end"], one["fore_deg"]),
            (one["end"], one["start"], one["back_deg"]),
        )
        return [
            ObservedBearing(
                site=self.site,
                client_id=one["client_id"],
                station=station,
                target=target,
                bearing_deg=bearing_deg,
                north=one["north"],
                compass=one["compass"],
                observed_at=at,
                received_at=now,
            )
            for station, target, bearing_deg in read
            if bearing_deg is not None
        ]


class ShadowForm(forms.Form):
    """A bearing along the shadow of a plumb line, with its time to the second."""

    client_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    station = forms.ModelChoiceField(
        label=_("Station"), queryset=Point.objects.none(), empty_label=CHOOSE
    )
    bearing_deg = BearingField(label=_("Bearing along the shadow, away from the sun"))
    north = forms.ChoiceField(label=_("The compass shows"), choices=ObservedBearing.North)
    compass = forms.CharField(label=_("Compass number"), required=False, max_length=12)
    on = forms.DateField(label=_("Date"), widget=DATE)
    time = forms.TimeField(
        label=_("Time of day"),
        widget=forms.TimeInput(attrs={"type": "time", "step": "1"}, format="%H:%M:%S"),
    )
    time_zone = forms.CharField(label=_("Time zone"), max_length=60, validators=[is_time_zone])
    clock_s = NumberField(
        label=_("The clock is good to, seconds"), initial=30, min_value=0, max_value=600
    )

    def __init__(self, *args, site, **kwargs):
        super().__init__(*args, **kwargs)
        self.site = site
        self.fields["station"].queryset = site.points.all()

    def clean(self):
        """A time at which the sun casts a usable shadow there."""
        cleaned = super().clean()
        if not self.errors:
            if cleaned["bearing_deg"] is None:
                self.add_error("bearing_deg", _("Type the bearing."))
                return cleaned
            _check_day(self, cleaned["on"], cleaned["station"])
            if self.errors:
                return cleaned
            at = datetime.datetime.combine(
                cleaned["on"], cleaned["time"], zoneinfo.ZoneInfo(cleaned["time_zone"])
            )
            try:
                sun.shadow(cleaned["station"].as_domain().position, at)
                cleaned["at"] = at
            except sun.NoShadow as error:
                self.add_error("time", told(error))
            except (OverflowError, ValueError):
                self.add_error("on", _("Check the date."))
        return cleaned

    def bearings(self, now):
        """The row to store."""
        one = self.cleaned_data
        return [
            ObservedBearing(
                site=self.site,
                client_id=one["client_id"],
                station=one["station"],
                target=None,
                bearing_deg=one["bearing_deg"],
                north=one["north"],
                compass=one["compass"],
                observed_at=one["at"],
                clock_s=one["clock_s"],
                received_at=now,
            )
        ]


class MovesForm(forms.Form):
    """Points that were moved on the map: code, latitude and longitude each, as JSON, and how well
    they are placed.
    """

    moves = forms.CharField(max_length=60_000)
    accuracy_m = NumberField(min_value=0.1, max_value=100)

    def __init__(self, *args, near, **kwargs):
        super().__init__(*args, **kwargs)
        self.near = near

    def clean_moves(self):
        """(code, Position) pairs, each near the site."""
        try:
            moves = [
                (str(code), Position(float(latitude), float(longitude)))
                for code, latitude, longitude in json.loads(self.cleaned_data["moves"])
            ]
        except (ValueError, TypeError, OverflowError, RecursionError) as error:
            raise forms.ValidationError(
                _("The moves cannot be read. Load the page again and move the points once more.")
            ) from error
        for code, position in moves:
            if geodesy.apart_m(position, self.near) > FAR_FROM_SITE_M:
                raise forms.ValidationError(
                    tell("Point {code} would be far from the site.", code=code)
                )
        return moves
