"""The bare circuit as it is written down: what `ampwright circuit` reads. SI throughout, machine values per phase."""
