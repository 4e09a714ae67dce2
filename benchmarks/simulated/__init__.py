"""Simulated callers: machines, what is told and metered of them, and a referee; no table is the program's."""
