"""What is known of the whole Earth without a network: outlines of land, towns, countries."""
