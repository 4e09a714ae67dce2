"""The two kinds of number that physics functions take and give."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Number = float | FloatArray
