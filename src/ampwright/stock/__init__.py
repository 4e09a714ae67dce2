"""The shop's parts and the typical generator classes: records with a source and a standing each."""
