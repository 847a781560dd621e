"""The tasks that an instructor took out of a course: the session keeps them to be put back."""

MOST = 10  # of a course


def keep(request, course, row):
    """Keep a task that was taken out (`mend_course.plain_row`), with what the course is now."""
    codes = dict(course.site.points.values_list("pk", "code"))
    ends = [codes[key] for key in (row["station_id"], row["target_id"]) if key]
    taken = {"after": course.fingerprint(), "row": row, "line": " → ".join(ends)}
    kept = request.session.get("taken_out", {})
    rows = [*kept.get(str(course.pk), []), taken]
    request.session["taken_out"] = {**kept, str(course.pk): rows[-MOST:]}


def last(request, course, fingerprint):
    """What was taken out last and its line, where the course has not been changed since, or None:
    `row` and `line`.
    """
    there = [taken for taken in _of(request, course) if taken["after"] == fingerprint]
    return there[-1] if there else None


def kept(request, course, key):
    """The row of a task that was taken out, by its primary key, or None."""
    rows = [taken["row"] for taken in _of(request, course)]
    return next((row for row in rows if str(row["id"]) == key), None)


def _of(request, course):
    return request.session.get("taken_out", {}).get(str(course.pk), [])
