"""How a person acts a task out, fault by fault: each kind an act of its own."""

import math

from exercises.domain.earth.angles import MILS_PER_CIRCLE, difference, from_mils, to_mils, wrap

# the edge is laid on paper with about half the scatter of a sighting; common practice, no source
LAID = 0.5
NAMELESS = ("poor_sight", "mils_figure")  # faults that no cause is the name of: "unexplained"
SWAP = {"true": "grid", "grid": "true", "magnetic": "magnetic"}


def sight(scene, faults):
    """Stand, aim, box the needle, read the dial, reckon, write."""
    place, target = scene.place(faults), scene.answer.target
    if "other_target" in faults and scene.answer.others:
        near = sorted(
            scene.answer.others,
            key=lambda other: abs(difference(other.bearing_deg, scene.answer.bearings_deg["true"])),
        )
        target = near[int(scene.luck["which"] ** 1.5 * len(near))].code  # the nearer the likelier
    shown, step = (
        scene.bearing(faults, place, target) + scene.needle(faults, place) + scene.stray(faults),
        scene.person.step_deg,
    )
    dial = misread(
        scene, faults, liked(scene, math.floor(step * math.floor(shown / step + 0.5) + 0.5))
    )  # half ticks come out as whole degrees
    number = wrap(dial + added(faults, scene.answer.norths, scene.dial_north(), scene.answer.north))
    return write(
        scene,
        faults,
        noted(
            scene,
            wrap(-number) if "mirrored" in faults and scene.luck["variant"] >= 0.7 else number,
        ),
    )


def follow(scene, faults):
    """The same the other way round: hear, reckon back, set the dial, box the needle by turning,
    name what lies there.
    """
    choices = scene.answer.form.choices(scene.answer)
    if "unexplained" in faults:
        return scene.pick(choices, "anything")
    heard = scene.answer.given_deg
    heard = wrap(-heard) if "mirrored" in faults and scene.luck["variant"] >= 0.7 else heard
    heard = int(write(scene, faults, heard))
    heard = (
        heard if heard <= 360 else scene.answer.given_deg
    )  # no dial has such a number: one asks again
    dial = heard - added(faults, scene.answer.norths, scene.dial_north(), scene.answer.north)
    dial = misread(scene, faults, dial) + scene.person.step_deg * (scene.luck["setting"] - 0.5)
    place = scene.place(faults)
    faced = dial - scene.needle(faults, place) + scene.stray(faults)
    visible = [code for code in choices if code in scene.ground.site.targets_from(place)]
    by_gap = sorted(
        visible, key=lambda code: abs(difference(scene.bearing(faults, place, code), faced))
    )
    return by_gap[1 if "other_target" in faults and len(by_gap) > 1 else 0]


def convert(scene, faults):
    """Arithmetic alone, now and then a degree off."""
    answer = scene.answer
    number = answer.given_deg + added(faults, answer.norths, answer.given_north, answer.north)
    number += {0: -1, 1: 1}.get(int(scene.luck["carry"] * 20), 0)
    return write(scene, faults, wrap(number + ten_off(scene, faults)))


def back(scene, faults):
    """Half a circle added or taken away, now and then a degree off."""
    given = int(scene.answer.given_deg)
    number = given if "reversed" in faults else given + 180
    if "mirrored" in faults:
        number = -number if scene.luck["variant"] < 0.5 else 180 - number
    number += {0: -1, 1: 1}.get(int(scene.luck["carry"] * 20), 0)
    return write(scene, faults, wrap(number + ten_off(scene, faults)))


def map_bearing(scene, faults):
    """Lay the edge from point to point, turn the housing along the north lines, read the dial."""
    answer, norths, right_deg = scene.answer, scene.answer.norths, scene.answer.bearings_deg["true"]
    if "other_target" in faults and answer.others:
        right_deg = min(
            answer.others,
            key=lambda other: abs(difference(other.bearing_deg, answer.bearings_deg["true"])),
        ).bearing_deg
    if "other_station" in faults and answer.stations:
        right_deg = scene.pick(answer.stations, "which").bearing_deg
    shown = (
        right_deg
        + norths.correction("true", answer.north)
        + LAID * scene.scatter_deg
        + 180.0 * ("reversed" in faults)
    )
    step = scene.person.step_deg
    dial = misread(scene, faults, math.floor(step * math.floor(shown / step + 0.5) + 0.5))
    needless = norths.correction(answer.north, "magnetic")
    turned = {
        "declination_ignored": needless,
        "declination_twice": -needless,
        "convergence_ignored": norths.correction(answer.north, SWAP[answer.north]),
    }
    number = wrap(dial + round(sum(turned.get(code, 0.0) for code in faults)))
    return write(scene, faults, noted(scene, number))


ACTS = {"sight": sight, "follow": follow, "convert": convert, "back": back, "map": map_bearing}


def liked(scene, dial):
    """A number on the dial as it is read by somebody who likes some numbers better. Odd ones become
    an even neighbour, those in 3 and 9 more often: real readings end in an even figure in 54 %,
    8 and 0 are favoured, 3 and 9 shunned (fixtures/published/real_readings.csv).
    """
    if "liking" not in scene.luck or dial % 2 == 0:
        return dial
    share = 0.15 if dial % 10 in (3, 9) else 0.04
    luck = scene.luck["liking"]
    return dial if luck >= share else dial + (1 if luck < share / 2 else -1)


def noted(scene, number):
    """A number as a person means to write it: to five degrees, or to the degree."""
    return wrap(5 * math.floor(number / 5 + 0.5)) if scene.person.writes_fives else number


def misread(scene, faults, dial):
    """What is made of a number on the dial by faults of reading, or of setting it."""
    if "mirrored" in faults and scene.luck["variant"] < 0.7:
        return -dial
    if "counted_back" in faults:
        label = scene.compass.label_deg
        nearest, lower = label * round(dial / label), label * math.floor(dial / label)
        other = lower if nearest > lower else lower + label
        return 2 * (nearest if scene.luck["label"] < 0.8 else other) - dial
    return (
        dial
        + ten_off(scene, faults)
        + (scene.pick((90, -90), "sign") if "quarter_turn" in faults else 0)
    )


def ten_off(scene, faults):
    """One or two printed numbers, or a carry, or nothing."""
    return (
        scene.pick((1, -1), "sign") * (10 if scene.luck["size"] < 0.7 else 20)
        if "ten_off" in faults
        else 0
    )


def added(faults, norths, given, north):
    """What is added to a number in one north to have it in another, whole degrees, by right or by a
    fault of arithmetic.
    """
    right = round(norths.correction(given, north))
    if "convergence_ignored" in faults:
        return round(
            norths.correction(SWAP[given], north)
            if north == "magnetic"
            else norths.correction(given, SWAP[north])
        )
    if given == north == "magnetic":
        return round(norths.declination_deg) if "declination_ignored" in faults else 0
    if "magnetic" not in (given, north):
        return right + (round(norths.declination_deg) if "declination_twice" in faults else 0)
    wrong = {
        "declination_ignored": 0,
        "declination_wrong_way": -right,
        "declination_twice": 2 * right,
    }
    return next((wrong[code] for code in faults if code in wrong), right)


def write(scene, faults, number):
    """The number on paper: three digits, but for slips of the pen."""
    number = int(wrap(round(number)))
    if "unexplained" in faults:
        return f"{int(scene.luck['anything'] * 360):03d}"
    if "mils_figure" in faults:
        number = figure_wrong(scene, number)
    text = f"{number:03d}"
    if "digits_swapped" in faults:
        first = int(scene.luck["digit"] * 2)
        swapped = text[:first] + text[first + 1] + text[first] + text[first + 2 :]
        return swapped if int(swapped) < 360 or scene.luck["notice"] < 0.3 else text
    if "digit_dropped" in faults:
        lost = int(scene.luck["digit"] * 3)
        return text[:lost] + text[lost + 1 :]
    if "hundred_off" in faults:
        return (
            f"{scene.pick([n for n in (number - 100, number + 100) if 0 <= n < 360], 'digit'):03d}"
        )
    return f"{round(to_mils(number)):03d}" if "mils" in faults else text


def figure_wrong(scene, number):
    """The degrees of a number whose thousands were one off while it stood in mils, or whose
    hundreds were.
    """
    by = (1000 if scene.luck["size"] < 0.7 else 100) * scene.pick((1, -1), "sign")
    return round(from_mils((to_mils(number) + by) % MILS_PER_CIRCLE)) % 360


def seen_as(answer, text):
    """What is on paper, as the kind of task takes it."""
    return answer.form.parse_on_paper(answer, text)


def act(scene, faults):
    """What is written with some faults, and those of them without any of which something else would
    have been.
    """
    perform, left = ACTS[scene.answer.kind], list(faults)
    text = perform(scene, faults)
    for code in reversed(faults):
        fewer = [other for other in left if other != code]
        if seen_as(scene.answer, perform(scene, fewer)) == seen_as(scene.answer, text):
            left = fewer
    if set(NAMELESS) & set(left):
        return text, "unexplained"
    return text, "+".join(sorted(left)) or "ok"
