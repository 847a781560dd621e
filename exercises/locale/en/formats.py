"""English dates: the day first, which no reader takes for the month when it is written out."""

DATE_FORMAT = "j F Y"
SHORT_DATE_FORMAT = "j M Y"
