"""
What people look at or take away: charts as text, SVG, PNG and specification.

Everything here turns numbers it is given into text or bytes. It works out no
physics and opens no file.
"""
