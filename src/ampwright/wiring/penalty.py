"""What 12 V cost a dynamo: from what speed it charges, and carries a load, at each voltage."""

from collections.abc import Mapping, Sequence

import numpy as np

from ampwright.electrics.dynamo import Dynamo, cut_in_speed_rpm, dynamo_current_A
from ampwright.electrics.load import Load, demand_A
from ampwright.errors import OutsideModel
from ampwright.identify.system import ASSUMED_MPH_PER_1000_RPM, BUS_V, RoadSpeed, machine_of
from ampwright.operation.balance import balance_speed_rpm
from ampwright.stock.generators import GeneratorClass
from ampwright.wiring.plan_facts import ChargingSpeed, SpeedAt

# Volts that close the cut-out: 6.3 to 6.7 V by a maker's chapter on its 6 V control box, the middle; at 12 V twice
# that (assumed).
CUT_IN_V: Mapping[int, float] = {6: 6.5, 12: 13.0}
USUAL_ROAD_SPEED = RoadSpeed(ASSUMED_MPH_PER_1000_RPM, "mph", assumed=True)
_SPEEDS_rpm = np.arange(400.0, 8001.0, 10.0)


def charging_speed(
    generator: GeneratorClass,
    loads_by_volts: Mapping[int, Sequence[Load]] | None = None,
    road_speed: RoadSpeed = USUAL_ROAD_SPEED,
) -> ChargingSpeed:
    """
    Where a dynamo's cut-out closes, and from where it carries a load, at 6 and at 12 V.

    ``loads_by_volts`` are the same lamps at either voltage; without them only the cut-in is told. The figures are of
    the middle of a class: machines of one class lie about a quarter either way.
    """
    machines = {volts: machine_of(generator, volts, lights_on=True) for volts in (6, 12)}
    at: dict[int, SpeedAt] = {}
    for volts, machine in machines.items():
        if not isinstance(machine, Dynamo):
            raise OutsideModel(
                f"{generator.name} is no dynamo with figures; only of one is a charging speed worked out."
            )
        loads = (loads_by_volts or {}).get(volts)
        at[volts] = SpeedAt(
            cut_in_rpm=float(cut_in_speed_rpm(machine, CUT_IN_V[volts])),
            balance_rpm=None if loads is None else _balance_rpm(machine, loads, BUS_V[volts]),
        )
    return ChargingSpeed(
        at_6_V=at[6],
        at_12_V=at[12],
        road_speed_per_1000_rpm=road_speed.per_1000_rpm,
        road_speed_unit=road_speed.unit,
        gearing_assumed=road_speed.assumed,
    )


def _balance_rpm(machine: Dynamo, loads: Sequence[Load], bus_V: float) -> float | None:
    output = np.asarray(dynamo_current_A(machine, _SPEEDS_rpm, bus_V), dtype=float)
    demand = np.broadcast_to(np.asarray(demand_A(loads, _SPEEDS_rpm, bus_V), dtype=float), output.shape)
    balance = float(balance_speed_rpm(output, demand, _SPEEDS_rpm))
    return None if np.isnan(balance) else balance
