"""What every kind has unless it says otherwise."""

from ...earth.angles import difference


class Kind:
    """The common case: one station, one target, a bearing or a direction for an answer, nothing
    that the map must show or hide.
    """

    is_walked = False
    is_proposed = True
    needs_more = has_legs = has_field_half = goes_on = False

    def parties(self, answer):
        """The codes that a prompt names: station, target."""
        return (answer.station,), (answer.target,)

    def marks(self, answer):
        """The codes of the marks on which one stands."""
        return (answer.station,)

    def on_map(self, answer):
        """The codes of the points that the map must show."""
        return ()

    def sought_at(self, answer):
        """The codes of the points that the map must not show."""
        return ()

    def error_deg(self, answer, seen):
        """By how much it is off in the asked north, degrees."""
        return difference(self.direction(answer, seen), answer.expected_deg)
