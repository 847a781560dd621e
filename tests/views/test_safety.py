"""The emergency sheet, the safety bearing, the cautions that are read, and the list before going
out.
"""

import io

import pytest

from exercises.models import Person, Site
from tests import cast, optional


def said(answer):
    return " ".join(answer.content.decode().split())


SAFE = {
    "safety_bearing": "118",
    "safety_leads_to": "the forest road",
    "meeting_point": "the gate by the red barn",
    "meeting_place": "-45.1302, 170.1003",
    "way_in": "Second gate\nOnly with four wheels",
    "contacts": "112\nWarden 555 0134",
}


def save(desk, site, **changes):
    return desk.post(f"/sites/{site.pk}/safety/", {**SAFE, **changes})


@pytest.fixture
def site(open_class):
    return open_class.course.site


# figures by pyproj (EPSG:32759) and the mgrs library, called directly
def test_the_sheet_has_the_forms_that_rescuers_take_down(desk, open_class, site):
    save(desk, site)

    page = said(desk.get(f"/classes/{open_class.pk}/emergency/"))

    for words in (
        "45° 07.812&#x27; S 170° 06.018&#x27; E",
        "zone 59 south, 429251 mE 5002192 mN",
        "MGRS 59G ML 29250 02192",
        "the gate by the red barn",
        "Only with four wheels",
        "Warden 555 0134",
        "Keep off the road.",
    ):
        assert words in page


def test_the_safety_bearing_is_told_in_degrees_magnetic_of_the_day(desk, client, open_class, site):
    save(desk, site)
    norths, _ = site.bare().north_of(site.position(), cast.DAY)
    magnetic = round(118 - norths.declination_deg) % 360
    cast.speaks_for(client, open_class, cast.join(open_class, "Mia"))

    told = client.get(f"/c/{open_class.code}/state/").json()["safety"]

    assert told == (
        f"Lost? Walk {magnetic:03d}° magnetic until you come to the forest road, and wait there."
    )


def test_a_phone_that_knows_the_state_is_told_of_a_new_safety_bearing(
    desk, client, open_class, site
):
    cast.speaks_for(client, open_class, cast.join(open_class, "Mia"))
    stamp = client.get(f"/c/{open_class.code}/state/").json()["stamp"]
    save(desk, site)

    assert client.get(f"/c/{open_class.code}/state/", {"have": stamp}).status_code == 200


@pytest.mark.parametrize("kind", ["drop", "water", "power_line"])
def test_a_safety_bearing_never_leads_into_a_danger(desk, site, kind):
    # a line across the way, south-east of station A
    site.hazards.create(kind=kind, name="the edge", corners=[[-45.134, 170.095], [-45.134, 170.12]])

    answer = save(desk, site, safety_bearing="150")

    assert "leads to “the edge” after" in said(answer)
    assert Site.objects.get().safety_bearing_deg is None


def test_a_danger_beyond_the_road_that_it_leads_to_does_not_stand_in_the_way(desk, site):
    for kind, latitude in (("road", -45.133), ("water", -45.135)):
        site.hazards.create(kind=kind, name=kind, corners=[[latitude, 170.08], [latitude, 170.12]])
    save(desk, site, safety_bearing="180")

    assert Site.objects.get().safety_bearing_deg == 180.0


@pytest.mark.parametrize(
    ("field", "typed"), [("safety_bearing", "37O"), ("meeting_place", "behind the barn")]
)
def test_what_cannot_be_read_is_said_and_stays_typed(desk, site, field, typed):
    page = said(save(desk, site, **{field: typed}))

    assert f'value="{typed}"' in page
    assert Site.objects.get().contacts == ""


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_the_sheet_is_printed_on_one_page(desk, open_class, site, size):
    save(desk, site)

    answer = desk.get(f"/classes/{open_class.pk}/emergency.pdf", {"paper": size})

    pdf = optional.package("pdfplumber").open(io.BytesIO(answer.content))
    assert len(pdf.pages) == 1
    assert "MGRS 59G ML 29250 02192" in pdf.pages[0].extract_text()


def test_a_long_sheet_runs_over_pages_and_loses_nothing(desk, open_class, site):
    lines = "\n".join(f"line {number} of the way in" for number in range(40))
    save(desk, site, way_in=lines, contacts=lines)
    Site.objects.update(cautions=lines)

    answer = desk.get(f"/classes/{open_class.pk}/emergency.pdf")

    pdf = optional.package("pdfplumber").open(io.BytesIO(answer.content))
    text = "\n".join(page.extract_text() for page in pdf.pages)
    assert [text.count(f"line {number} of the way in") for number in range(40)] == [3] * 40


def test_cautions_are_read_once_and_by_whom_is_known(phone, open_class, mia):
    for _ in range(2):
        assert phone.post(f"/c/{open_class.code}/heard/").status_code == 204

    assert Person.objects.get(pk=mia.pk).cautions_read_at is not None


def test_a_phone_that_speaks_for_nobody_reads_no_cautions(client, open_class, mia):
    assert client.post(f"/c/{open_class.code}/heard/").status_code == 403
    assert Person.objects.get(pk=mia.pk).cautions_read_at is None


def test_who_has_not_read_the_cautions_stands_with_the_arrivals(desk, open_class, mia):
    words = "has not read the cautions"
    before = words in said(desk.get(f"/classes/{open_class.pk}/arrivals/"))
    Person.objects.update(cautions_read_at=cast.NOW)

    assert (before, words in said(desk.get(f"/classes/{open_class.pk}/arrivals/"))) == (True, False)


def test_the_usual_list_becomes_the_classs_own_with_the_first_tick(desk, open_class):
    address = f"/classes/{open_class.pk}/before/"
    assert "10 to do" in said(desk.get(address))
    desk.post(f"{address}3/", {"done": "yes"})

    page = said(desk.get(address))
    assert "9 to do" in page
    item = open_class.checks.get(number=3)
    assert (item.done_by, item.done_at is not None) == ("ines", True)


def test_a_list_of_ones_own_keeps_what_was_ticked(desk, open_class):
    address = f"/classes/{open_class.pk}/before/"
    desk.post(f"{address}4/", {"done": "yes"})
    kept = open_class.checks.get(number=4).words
    desk.post(address, {"lines": f"Dog at home\n{kept}\n\nDog at home"})

    assert [(item.words, bool(item.done_at)) for item in open_class.checks.all()] == [
        ("Dog at home", False),
        (kept, True),
    ]
