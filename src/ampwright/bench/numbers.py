"""What every record of the bench is made of: its numbers and how strictly they are read."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

# Wide enough for any machine; outside them a unit was mistaken.
MOST = 1e6
Above = Annotated[float, Field(gt=0, le=MOST)]
NotNegative = Annotated[float, Field(ge=0, le=MOST)]
Share = Annotated[float, Field(ge=0, le=1)]
Ideality = Annotated[float, Field(ge=0.01, le=20)]
Saturation = Annotated[float, Field(ge=1e-30, le=1)]


class BenchRecord(BaseModel):
    """A frozen record that takes numbers as numbers and nothing else."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)
