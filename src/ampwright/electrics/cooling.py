"""Heat off finned boxes and Zener heat sinks: still air, riding wind, radiation, and the way from a junction out."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ampwright.electrics.arrays import Number
from ampwright.errors import OutsideModel

# From memory: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table of air at atmospheric pressure; its
# densities are those of 1 bar.
AIR_K = (250.0, 300.0, 350.0, 400.0, 450.0, 500.0)
AIR_VISCOSITY_M2_S = (11.44e-6, 15.89e-6, 20.92e-6, 26.41e-6, 32.39e-6, 38.79e-6)
AIR_CONDUCTIVITY_W_MK = (22.3e-3, 26.3e-3, 30.0e-3, 33.8e-3, 37.3e-3, 40.7e-3)
AIR_PRANDTL = (0.720, 0.707, 0.700, 0.690, 0.686, 0.684)

# SI brochure, 2019 (from memory): exact from the constants it fixes.
STEFAN_BOLTZMANN_W_M2K4 = 5.670374419e-8
ZERO_DEGC_K = 273.15
GRAVITY_M_S2 = 9.81

# Share of the road speed that reaches the fins; both assumed.
IN_THE_WIND = 0.7
BEHIND_A_PANEL = 0.1


@dataclass(frozen=True)
class Air:
    """Air near sea level at a temperature: its kinematic viscosity, conductivity and Prandtl number."""

    viscosity_m2_s: Number
    conductivity_W_mK: Number
    prandtl: Number


@dataclass(frozen=True)
class HeatSink:
    """
    A finned box or a plate that sheds heat.

    `fin_area_m2` is all the surface that air touches, `height_m` its height, which stands for its length along the wind
    too. `emissivity` counts over the whole of `fin_area_m2`: fins that face each other shine at each other, so that of
    closely finned ones is below the surface's own. `air_share` is the share of the road speed that reaches the fins:
    `IN_THE_WIND` or `BEHIND_A_PANEL`, both assumed.
    """

    fin_area_m2: Number
    height_m: Number
    emissivity: Number
    air_share: Number


def air_at(film_degC: Number) -> Air:
    """
    Properties of air near sea level, straight between the rows of a table.

    Parameters
    ----------
    film_degC : float or array, shape (...)
        Temperature of the air at the surface: the mean of the surface's and the free air's. [°C]

    Returns
    -------
    air : Air
        Kinematic viscosity [m²/s], conductivity [W/(m K)] and Prandtl number [-], each of the shape given.

    Notes
    -----
    From 250 to 500 K (-23 to 227 °C); outside of it `OutsideModel` is raised. Between rows the straight line is off by
    under 1 % (a cubic through the same rows). Thin air high up carries off less: not modelled.

    References
    ----------
    Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table of air (from memory).
    """
    film_K = np.asarray(film_degC, dtype=float) + ZERO_DEGC_K
    outside = film_K[(film_K < AIR_K[0]) | (film_K > AIR_K[-1])]
    if outside.size:
        raise OutsideModel(
            f"Air of {outside[0] - ZERO_DEGC_K:.0f} °C at the surface is outside the table of air, which goes from"
            f" {AIR_K[0] - ZERO_DEGC_K:.0f} to {AIR_K[-1] - ZERO_DEGC_K:.0f} °C. Check both temperatures."
        )
    return Air(
        np.interp(film_K, AIR_K, AIR_VISCOSITY_M2_S),
        np.interp(film_K, AIR_K, AIR_CONDUCTIVITY_W_MK),
        np.interp(film_K, AIR_K, AIR_PRANDTL),
    )


def vertical_plate_nusselt(prandtl: Number, grashof: Number) -> Number:
    r"""
    Mean Nusselt number of a vertical plate in still air.

    .. math::
        Nu = \left(0.825 + \frac{0.387\,(Gr\,Pr)^{1/6}}{[1 + (0.492/Pr)^{9/16}]^{8/27}}\right)^2

    Parameters
    ----------
    prandtl : float or array, shape (...)
        Prandtl number of the fluid, above 0. [-]
    grashof : float or array, shape (...)
        Grashof number by the plate's height, 0 and up. [-]

    Returns
    -------
    nusselt : float or array, broadcast shape of the inputs
        Mean Nusselt number by the plate's height. [-]

    Notes
    -----
    For Gr Pr up to 1e12, laminar and turbulent alike. Against the same authors' form for laminar flow alone (from
    memory) it is within 7 % from Gr Pr = 1e4 to 1e7, which is about 0.14 m in air, and above it beyond: by 17 % at 1e8
    and a third at 1e9.

    References
    ----------
    Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323, correlating equations for a vertical plate.
    """
    prandtl_term = (1.0 + (0.492 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    root: Number = 0.825 + 0.387 * (grashof * prandtl) ** (1.0 / 6.0) / prandtl_term
    return root**2


def laminar_plate_nusselt(reynolds: Number, prandtl: Number) -> Number:
    r"""
    Mean Nusselt number of a flat plate along which air flows in an orderly layer.

    .. math:: Nu = 0.664\, Re^{1/2} Pr^{1/3}

    Parameters
    ----------
    reynolds : float or array, shape (...)
        Reynolds number by the plate's length along the flow, 0 to 5e5. [-]
    prandtl : float or array, shape (...)
        Prandtl number of the fluid, 0.6 and up. [-]

    Returns
    -------
    nusselt : float or array, broadcast shape of the inputs
        Mean Nusselt number by the plate's length. [-]

    Notes
    -----
    Below Re = 5e5. Beyond it the layer turns turbulent and carries off more than this.

    References
    ----------
    Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, flat plate in parallel flow (from memory).
    """
    nusselt: Number = 0.664 * reynolds**0.5 * prandtl ** (1.0 / 3.0)
    return nusselt


def free_convection_W_m2K(plate_height_m: Number, surface_degC: Number, air_degC: Number) -> Number:
    r"""
    Heat transfer coefficient of a vertical plate in still air.

    .. math::
        h = Nu(Pr, Gr)\, k / H, \qquad Gr = \frac{g\, |T_s - T_a| H^3}{T_f\, \nu^2}, \qquad T_f = (T_s + T_a)/2

    Parameters
    ----------
    plate_height_m : float or array, shape (...)
        Height of the plate, above 0. [m]
    surface_degC : float or array, shape (...)
        Temperature of its surface. [°C]
    air_degC : float or array, shape (...)
        Temperature of the air away from it. [°C]

    Returns
    -------
    free_convection_W_m2K : float or array, broadcast shape of the inputs
        Mean over the plate. [W/(m² K)]

    Notes
    -----
    For Gr Pr up to 1e12 and the temperatures of `air_at`. A plate by itself: between fins closer than about 10 mm the
    layers of warm air meet and less is carried off (from memory).

    References
    ----------
    `vertical_plate_nusselt`; air as an ideal gas, so its expansion is 1 / T.
    """
    film_degC = (surface_degC + air_degC) / 2.0
    air = air_at(film_degC)
    buoyancy_m_s2 = GRAVITY_M_S2 * np.abs(surface_degC - air_degC) / (film_degC + ZERO_DEGC_K)
    grashof = buoyancy_m_s2 * plate_height_m**3 / air.viscosity_m2_s**2
    return vertical_plate_nusselt(air.prandtl, grashof) * air.conductivity_W_mK / plate_height_m


def radiation_W_m2K(emissivity: Number, surface_degC: Number, surroundings_degC: Number) -> Number:
    r"""
    Heat transfer coefficient that stands for the radiation between a surface and what it faces.

    .. math:: h = \varepsilon \sigma (T_s^2 + T_u^2)(T_s + T_u)

    Parameters
    ----------
    emissivity : float or array, shape (...)
        Of the surface, 0 to 1; about 0.9 painted or anodised black, about 0.1 bare bright metal (from memory). [-]
    surface_degC : float or array, shape (...)
        Temperature of the surface. [°C]
    surroundings_degC : float or array, shape (...)
        Temperature of all that it faces. [°C]

    Returns
    -------
    radiation_W_m2K : float or array, broadcast shape of the inputs
        Watts for each square metre and kelvin between the two temperatures. [W/(m² K)]

    Notes
    -----
    Exact for a grey surface that is small against what is around it and faces nothing of its own temperature.

    References
    ----------
    Stefan-Boltzmann law (any text on heat, from memory).
    """
    surface_K, surroundings_K = surface_degC + ZERO_DEGC_K, surroundings_degC + ZERO_DEGC_K
    squares_K2 = surface_K**2 + surroundings_K**2
    return emissivity * STEFAN_BOLTZMANN_W_M2K4 * squares_K2 * (surface_K + surroundings_K)


def forced_convection_W_m2K(plate_length_m: Number, air_speed_m_s: Number, film_degC: Number) -> Number:
    r"""
    Heat transfer coefficient of a flat plate with air blown along it.

    .. math:: h = 0.664\, Re^{1/2} Pr^{1/3} k / L, \qquad Re = v L / \nu

    Parameters
    ----------
    plate_length_m : float or array, shape (...)
        Length of the plate along the wind, above 0. [m]
    air_speed_m_s : float or array, shape (...)
        Speed of the air at the plate, 0 and up. [m/s]
    film_degC : float or array, shape (...)
        Mean of surface and air temperature. [°C]

    Returns
    -------
    forced_convection_W_m2K : float or array, broadcast shape of the inputs
        Mean over the plate. [W/(m² K)]

    Notes
    -----
    Below Re = 5e5, about 45 m/s along 0.2 m; beyond, more is carried off than this says. The rough air on a motorcycle
    carries off more too; the error of what share of the road speed arrives is greater than that.

    References
    ----------
    `laminar_plate_nusselt`.
    """
    air = air_at(film_degC)
    reynolds = air_speed_m_s * plate_length_m / air.viscosity_m2_s
    return laminar_plate_nusselt(reynolds, air.prandtl) * air.conductivity_W_mK / plate_length_m


def combined_W_m2K(free_W_m2K: Number, forced_W_m2K: Number) -> Number:
    r"""
    Heat transfer coefficient where air both rises by itself and is blown along.

    .. math:: h = (h_{free}^3 + h_{forced}^3)^{1/3}

    Parameters
    ----------
    free_W_m2K : float or array, shape (...)
        Coefficient of still air, 0 and up. [W/(m² K)]
    forced_W_m2K : float or array, shape (...)
        Coefficient of the wind alone, 0 and up. [W/(m² K)]

    Returns
    -------
    combined_W_m2K : float or array, broadcast shape of the inputs
        Coefficient of both. [W/(m² K)]

    Notes
    -----
    For wind across or along the rise; a wind straight down against it takes away from it. Never over 1.26 times the
    greater of the two.

    References
    ----------
    Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, combined free and forced convection (from memory).
    """
    combined: Number = np.cbrt(free_W_m2K**3 + forced_W_m2K**3)
    return combined


def conductance_W_K(convection_W_m2K: Number, radiation_W_m2K: Number, fin_area_m2: Number) -> Number:
    """Watts off a surface for each kelvin above the air: both coefficients times its area. [W/K]"""
    return (convection_W_m2K + radiation_W_m2K) * fin_area_m2


def sink_conductance_W_K(sink: HeatSink, surface_degC: Number, air_degC: Number, road_speed_m_s: Number) -> Number:
    r"""
    Watts that a heat sink sheds for each kelvin it is above the air.

    .. math:: G = A\left[(h_{free}^3 + h_{forced}(a v)^3)^{1/3} + h_{rad}\right]

    Parameters
    ----------
    sink : HeatSink
        The heat sink; fields may be arrays.
    surface_degC : float or array, shape (...)
        Temperature of its surface. [°C]
    air_degC : float or array, shape (...)
        Temperature of the air that comes to it, and of all that it faces. [°C]
    road_speed_m_s : float or array, shape (...)
        Speed of the motorcycle, 0 and up; `air_share` of it reaches the fins. [m/s]

    Returns
    -------
    sink_conductance_W_K : float or array, broadcast shape of the inputs
        Its inverse is the heat sink's thermal resistance. [W/K]

    Notes
    -----
    A best case: the fins are all at one temperature and stand far enough apart, and the engine neither shines on them
    nor warms the air. `air_share` is assumed and is the greatest doubt. A sink hot enough to do its work burns hands.

    References
    ----------
    The functions above; sum of their coefficients (own derivation).
    """
    free = free_convection_W_m2K(sink.height_m, surface_degC, air_degC)
    forced = forced_convection_W_m2K(sink.height_m, sink.air_share * road_speed_m_s, (surface_degC + air_degC) / 2.0)
    radiation = radiation_W_m2K(sink.emissivity, surface_degC, air_degC)
    return conductance_W_K(combined_W_m2K(free, forced), radiation, sink.fin_area_m2)


def chain_temperature_degC(ambient_degC: Number, watts: Number, resistances_K_W: Sequence[Number]) -> Number:
    r"""
    Steady temperature at the hot end of a chain of thermal resistances, such as a junction's.

    .. math:: T = T_a + P \sum_k R_k

    Parameters
    ----------
    ambient_degC : float or array, shape (...)
        Temperature at the cold end: the air. [°C]
    watts : float or array, shape (...)
        Heat that flows through all of them. [W]
    resistances_K_W : sequence of float or array
        Thermal resistances in series: junction to case, case to heat sink, heat sink to air. [K/W]

    Returns
    -------
    chain_temperature_degC : float or array, broadcast shape of the inputs
        Temperature of the hot end; with the first of the resistances left out, of the next point. [°C]

    Notes
    -----
    Exact for constant resistances and no heat lost on the way. A heat sink's own falls as it gets hotter.

    References
    ----------
    Fourier's law in lumped form (any text on heat, from memory).
    """
    return ambient_degC + watts * sum(resistances_K_W, 0.0)


def warmed_share(time_s: Number, resistance_K_W: Number, capacity_J_K: Number) -> Number:
    r"""
    Share of its final rise that a cold body has reached some time after its heat is switched on.

    .. math:: 1 - e^{-t/(R C)}

    Parameters
    ----------
    time_s : float or array, shape (...)
        Time since then, 0 and up. [s]
    resistance_K_W : float or array, shape (...)
        Thermal resistance from the body to the air, above 0. [K/W]
    capacity_J_K : float or array, shape (...)
        Heat that warms it by one kelvin, above 0. [J/K]

    Returns
    -------
    warmed_share : float or array, broadcast shape of the inputs
        From 0, cold, to 1, as hot as it gets. [-]

    Notes
    -----
    Exact for a body at one temperature throughout and a constant resistance. The junction inside runs ahead of it.

    References
    ----------
    Lumped capacity (any text on heat, from memory).
    """
    share: Number = -np.expm1(-time_s / (resistance_K_W * capacity_J_K))
    return share
