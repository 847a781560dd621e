"""Spanish dates and numbers as Django has them; the short date spells the month, as in English."""

SHORT_DATE_FORMAT = "j b Y"
