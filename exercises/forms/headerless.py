"""How a points file without a line of names is read: in which order its numbers stand."""

import functools
from dataclasses import replace

from django import forms
from django.utils.translation import gettext_lazy as _

from ..exchange import headerless
from ..exchange.sheet import BadFile
from ..models import Point
from .fields import CHOOSE
from .points_file import MappingForm

BY_ORDER = ("place", "latitude", "longitude", "easting", "northing")  # told by the order instead


class HeaderlessForm(MappingForm):
    """As for any sheet, with an order of the numbers instead of columns for the position. The order
    that the site speaks for stands there until a person chooses another.
    """

    order = forms.ChoiceField(
        label=_("Order of the numbers"),
        choices=[
            ("", CHOOSE),
            ("northing_first", _("number, northing, easting, height, description")),
            ("easting_first", _("number, easting, northing, height, description")),
        ],
    )

    def __init__(self, data=None, *, sheet, near, **kwargs):
        super().__init__(data, sheet=sheet, **kwargs)
        self.sheet, self.near = sheet, near
        for key in BY_ORDER:
            del self.fields[f"column_{key}"]
        if self.is_bound and not self.data.get("order"):
            self.data = self.data.copy()
            self.data["order"] = self.both_ways().decided

    def both_ways(self):
        """The sheet read in both orders, in the system that is chosen."""
        return self._both_ways

    @functools.cached_property
    def _both_ways(self):
        epsg = self["epsg"].value()
        is_code = str(epsg or "").strip().isdecimal()
        return headerless.both_ways(self.sheet, int(epsg) if is_code else None, self.near)

    def settings(self):
        """As for any sheet. Raises BadFile where no order is chosen."""
        settings = super().settings()
        order = self["order"].value()
        if order not in headerless.ORDERS:
            raise BadFile(headerless.unordered())
        places = headerless.columns_of(self.sheet, order)
        by_order = {key: places[key] for key in headerless.ORDERS[order]}
        return replace(settings, columns=settings.columns | by_order)


def sent_form(data, sheet, site):
    """The form that came back with a sheet."""
    if sheet.format != headerless.FORMAT:
        return MappingForm(data, sheet=sheet)
    return HeaderlessForm(data, sheet=sheet, near=site.position())


def first_form(sheet, source, on, site):
    """The first form of a sheet. Where it has no line of names, its numbers are tried in the UTM
    zone of the site, and then in the site's own grid.
    """
    form = MappingForm.of_sheet(sheet, source, on)
    if sheet.format != headerless.FORMAT:
        return form
    near = site.position()
    decided, epsg = "", None
    for epsg in (None, site.grid_epsg):
        decided = headerless.both_ways(sheet, epsg, near).decided
        if decided:
            break
    columns = headerless.columns_of(sheet, "")
    return HeaderlessForm(
        sheet=sheet,
        near=near,
        initial={
            **form.initial,
            **{f"column_{key}": str(index) for key, index in columns.items()},
            "method": Point.Method.SURVEYED,
            "order": decided,
            "epsg": epsg if decided else None,
        },
    )
