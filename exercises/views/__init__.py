"""Four steps each: may they, is the input good, do it, answer."""
