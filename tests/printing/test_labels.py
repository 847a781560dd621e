"""Labels keep clear of one another, of marks and of the frame, however points crowd."""

import itertools

from hypothesis import given, settings, strategies as st

from exercises.drawing import labels

FRAME = (0.0, 0.0, 180.0, 180.0)
WIDE, HIGH = 8.0, 3.4
# a schoolyard of 120 m at 1:1000: 26 points no nearer than 5 mm to one another
CROWD = st.lists(
    st.tuples(st.integers(0, 20), st.integers(0, 20)), min_size=26, max_size=26, unique=True
).map(lambda places: {f"T{n}": (30.0 + 5.0 * x, 30.0 + 5.0 * y) for n, (x, y) in enumerate(places)})


def placed(points):
    return labels.place(points, lambda _: WIDE, HIGH, 2.8, within=FRAME, reaches=labels.FAR)


def box(label):
    left = {"start": label.x, "middle": label.x - WIDE / 2, "end": label.x - WIDE}[label.anchor]
    bottom = label.y + 0.2 * HIGH
    return left, bottom - HIGH, left + WIDE, bottom


def apart(one, other):
    return (
        one[2] <= other[0] + 1e-9
        or other[2] <= one[0] + 1e-9
        or one[3] <= other[1] + 1e-9
        or other[3] <= one[1] + 1e-9
    )


@given(CROWD)
@settings(max_examples=60)
def test_labels_of_a_crowd_do_not_lie_on_one_another_and_stay_on_the_sheet(points):
    boxes = [box(label) for label in placed(points).values()]

    assert all(apart(one, other) for one, other in itertools.combinations(boxes, 2))
    assert all(
        one[0] >= FRAME[0] and one[1] >= FRAME[1] and one[2] <= FRAME[2] and one[3] <= FRAME[3]
        for one in boxes
    )


def test_points_in_a_row_are_labelled_by_lines_that_lead_to_them():
    points = {f"T{number}": (60.0 + 2.4 * number, 90.0) for number in range(26)}
    found = placed(points)
    boxes = [box(label) for label in found.values()]

    assert all(apart(one, other) for one, other in itertools.combinations(boxes, 2))
    assert any(label.leader for label in found.values())


def test_a_label_with_room_stands_beside_its_point_without_a_line():
    (label,) = placed({"A": (90.0, 90.0)}).values()

    assert (label.leader, label.anchor) == (None, "start")


def test_a_label_at_the_frame_turns_inwards():
    (label,) = placed({"A": (178.0, 2.0)}).values()

    assert box(label)[2] <= 180.0
    assert box(label)[1] >= 0.0
