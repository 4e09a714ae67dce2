"""Compiled loops: floats and arrays in, floats and arrays out. Nothing of ours is imported here."""
