"""Simulated bikes with faults, for the benchmark of fault finding: a physics, errors and frequencies of their own."""
