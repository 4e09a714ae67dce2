"""
The pair of explicit steps for a circuit that nothing switches: seven slopes, order 5, embedded and dense order 4.

Dormand and Prince 1980, dense output by Shampine 1986; their order conditions are tested. The last slope of a step is
the first of the next. `DENSE` gives the weights of the slopes over any first part of a step, so that a step cut short
by an event, and the sums over it, need no slope more.
"""

import numpy as np

STAGE_TIME = (0.0, 1.0 / 5.0, 3.0 / 10.0, 4.0 / 5.0, 8.0 / 9.0, 1.0, 1.0)
A21 = 1.0 / 5.0
A31, A32 = 3.0 / 40.0, 9.0 / 40.0
A41, A42, A43 = 44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0
A51, A52, A53, A54 = 19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0
A61, A62, A63, A64, A65 = 9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0
B1, B3, B4, B5, B6 = 35.0 / 384.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0
# What the embedded method would have ended elsewhere.
E1, E3, E4, E5 = -71.0 / 57600.0, 71.0 / 16695.0, -71.0 / 1920.0, 17253.0 / 339200.0
E6, E7 = -22.0 / 525.0, 1.0 / 40.0
# Weight of slope i over the first x of a step: the sum over j of DENSE[i, j] x^(j + 1).
DENSE = np.array(
    [
        [1.0, -8048581381 / 2820520608, 8663915743 / 2820520608, -12715105075 / 11282082432],
        [0.0, 0.0, 0.0, 0.0],
        [0.0, 131558114200 / 32700410799, -68118460800 / 10900136933, 87487479700 / 32700410799],
        [0.0, -1754552775 / 470086768, 14199869525 / 1410260304, -10690763975 / 1880347072],
        [0.0, 127303824393 / 49829197408, -318862633887 / 49829197408, 701980252875 / 199316789632],
        [0.0, -282668133 / 205662961, 2019193451 / 616988883, -1453857185 / 822651844],
        [0.0, 40617522 / 29380423, -110615467 / 29380423, 69997945 / 29380423],
    ]
)
