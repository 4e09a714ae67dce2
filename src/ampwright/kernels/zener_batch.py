"""
Diode bridges on a battery with or without a Zener, by the devices' own laws: a machine and a speed a point.

Slower than `bridge.bridge_batch` and closer, and the only batch with a Zener. Three phases that rest part of the time
give only mean, mean square, heat of the diodes, and the Zener's current and heat. This is a loop because branches,
roots and passes differ from point to point.
"""

import numba
import numpy as np

from ampwright.kernels.bridge import FOUND as RESTS_FOUND
from ampwright.kernels.bridge import IDLE, NOT_HERE, PULSES
from ampwright.kernels.commuted import ROOM, three_zener
from ampwright.kernels.compiled import compiled_for_all_cores
from ampwright.kernels.elements import Floats, Whole
from ampwright.kernels.own_law import OVER_LINE, with_rests, zener_with_rests
from ampwright.kernels.own_sums import HEAT_W, KEPT_ROOM, TAKEN_A, TAKEN_W
from ampwright.kernels.stepped import single_zener
from ampwright.kernels.zener import DIODES_W, MEAN, SQUARE, ZENER_A, ZENER_W

# Points that a core takes at a time.
CHUNK = 256
# Room between what two cores write, so that neither waits for the other.
APART = 64


@compiled_for_all_cores
def zener_batch(
    phases: int,
    emf_V: Floats,
    reactance: Floats,
    ohm: Floats,
    bus_V: Floats,
    bus_ohm: Floats,
    saturation_A: Floats,
    slope_V: Floats,
    diode_ohm: Floats,
    zener_V: Floats,
    zener_A: Floats,
    zener_slope_V: Floats,
    zener_ohm: Floats,
    found: Floats,
    regime: Whole,
) -> None:
    """What `single_zener` or `three_zener` finds (a row a point), shared out among the cores; no slope, no Zener."""
    chunks = (emf_V.size + CHUNK - 1) // CHUNK
    for chunk in numba.prange(chunks):
        room, rests = np.zeros(ROOM + APART), np.zeros(RESTS_FOUND + APART)
        kept = np.zeros(KEPT_ROOM + APART)
        for k in range(chunk * CHUNK, min((chunk + 1) * CHUNK, emf_V.size)):
            machine = emf_V[k], reactance[k], ohm[k], bus_V[k], bus_ohm[k]
            diode = saturation_A[k], slope_V[k], diode_ohm[k]
            zener = zener_V[k], zener_A[k], zener_slope_V[k], zener_ohm[k]
            if phases == 1:
                regime[k] = single_zener(*machine, *diode, *zener, found[k])
            else:
                regime[k] = three_zener(*machine, *diode, *zener, room, found[k])
                if regime[k] != NOT_HERE:
                    continue
                with_zener = zener_slope_V[k] > 0.0
                if with_zener:
                    shape = zener_with_rests(*machine, *diode, *zener, rests, kept)
                else:
                    shape = with_rests(*machine, *diode, rests)
                if shape == 0 or (shape > 0 and rests[OVER_LINE] > 0.0):
                    regime[k] = PULSES if shape > 0 else IDLE
                    found[k, MEAN], found[k, SQUARE] = rests[0], rests[1]
                    found[k, DIODES_W] = 2.0 * rests[2] * rests[0] + 3.0 * rests[3] * rests[1]
                    if with_zener:
                        found[k, ZENER_A], found[k, ZENER_W], found[k, DIODES_W] = (
                            kept[TAKEN_A],
                            kept[TAKEN_W],
                            kept[HEAT_W],
                        )
