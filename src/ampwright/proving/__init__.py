"""What a sound bike reads: bands from the physics, by what regulates and what the battery is."""
