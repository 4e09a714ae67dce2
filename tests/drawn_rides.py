"""Invented rides for pictures, which only have to repeat them."""

import math

from ampwright.documents.ride_picture import RideLine, RidePanel, RidePicture


def wavy(middle: float, swing: float, moments: tuple[float, ...], per_min: float = 0.1) -> tuple[float, ...]:
    """An invented line; the pictures only have to repeat it."""
    return tuple(middle + swing * math.sin(per_min * moment) for moment in moments)


def ride(minutes: float = 95.0, points: int = 240) -> RidePicture:
    time = tuple(minutes * k / (points - 1) for k in range(points))
    charge = wavy(70.0, 20.0, time)
    banded = RideLine("battery", charge, tuple(v - 5.0 for v in charge), tuple(v + 9.0 for v in charge))
    volts = RideLine("", wavy(13.4, 0.7, time), wavy(13.2, 0.7, time), wavy(13.7, 0.7, time))
    amps = (("generator", 6.0), ("lamps and ignition", 5.0), ("into the battery", 0.5))
    heat = (("winding", 80.0), ("box", 55.0), ("Zener", 60.0))
    return RidePicture(
        "To work and home",
        time,
        (
            RidePanel("road speed, mph", (RideLine("", wavy(35.0, 20.0, time, 0.7)),), least=0.0),
            RidePanel("charge, %", (banded,), (("starts poorly below", 40.0),), 0.0, 100.0),
            RidePanel("at the battery, volts", (volts,)),
            RidePanel("amps", tuple(RideLine(name, wavy(m, 3.0, time, 0.2)) for name, m in amps)),
            RidePanel("watts", tuple(RideLine(f"part {k}", wavy(5.0 * k, 4.0, time)) for k in range(8)), least=0.0),
            RidePanel(
                "temperature, °C",
                tuple(RideLine(name, wavy(middle, 20.0, time)) for name, middle in heat),
                (("limit of the shell", 85.0), ("limit of the winding", 130.0)),
            ),
        ),
        ((0.6 * minutes, "engine stopped, lights left on"), (0.62 * minutes, "restart"), (minutes, "home")),
        ("Bands: usual spread of the kind; nothing measured.", "All figures are invented."),
    )


RIDE = ride()
