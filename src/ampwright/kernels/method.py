"""
The method by which the transient steps: three implicit stages, stiffly accurate, order 3, embedded order 2.

Kennedy and Carpenter 2003, ARK3(2)4L[2]SA, implicit part; from memory, its order conditions are tested. The weights of
a step are its last stage, so means and the states themselves are summed alike.
"""

import numpy as np

GAMMA = 1767732205903 / 4055673282236
STAGE = np.array(
    [
        [0.0, 0.0, 0.0, 0.0],
        [GAMMA, GAMMA, 0.0, 0.0],
        [2746238789719 / 10658868560708, -640167445237 / 6845629431997, GAMMA, 0.0],
        [1471266399579 / 7840856788654, -4482444167858 / 7529755066697, 11266239266428 / 11593286722821, GAMMA],
    ]
)
EMBEDDED = np.array(
    [
        2756255671327 / 12835298489170,
        -10771552573575 / 22201958757719,
        9247589265047 / 10645013368117,
        2193209047091 / 5459859503100,
    ]
)
STAGE_TIME = np.array([0.0, 2.0 * GAMMA, 0.6, 1.0])
ERROR = STAGE[3] - EMBEDDED
