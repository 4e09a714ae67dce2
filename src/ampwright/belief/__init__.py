"""
The arithmetic of belief: hypotheses by findings as arrays. It knows no bikes.
"""
