"""Air: pressure at altitude and density."""

from __future__ import annotations

import math

from asleft.calc.guards import CalcError, altitude, at_most_one, positive, refusing, temperature

SEA_LEVEL_PA = 101325.0
CFM_PER_TON = (350.0, 450.0)
"""Airflow for each ton of cooling (common practice)."""

_GAS_CONSTANT_DRY_AIR = 287.042
_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 6.5459673)
_TRIPLE_POINT_C = 0.01


def standard_pressure(altitude_m: float) -> float:
    """Give the pressure of the standard atmosphere.

    Formula: p = 101325 (1 - 2.25577e-5 Z)^5.2559 [1]

    :param altitude_m: altitude Z above sea level [m], -1000 to 11 000.
    :returns: pressure [Pa].

    Limits: altitude -1000 to 11 000 m.

    References:
    [1] ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 3

    >>> round(standard_pressure(1000.0))
    89875
    """
    return SEA_LEVEL_PA * math.pow(1 - 2.25577e-5 * altitude(altitude_m), 5.2559)


def pressure_ratio(altitude_m: float) -> float:
    """Give the pressure at altitude as a fraction of that at sea level.

    Formula: p/p0 = (1 - 2.25577e-5 Z)^5.2559 [1]

    :param altitude_m: altitude Z above sea level [m].
    :returns: fraction of the sea-level pressure.

    Limits: altitude -1000 to 11 000 m.

    References:
    [1] ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 3

    >>> pressure_ratio(0.0)
    1.0
    """
    return standard_pressure(altitude_m) / SEA_LEVEL_PA


def saturation_terms(temperature_c: float) -> tuple[float, ...]:
    """Give the coefficients of ln p_ws at a temperature: of 1/T, of T^0, T^1 and so on, and of ln T."""
    return _ICE if temperature_c <= _TRIPLE_POINT_C else _WATER


def saturation_pressure(temperature_c: float) -> float:
    """Give the saturation pressure of water vapour, over ice up to the triple point and over water above.

    Formula: ln p_ws = C1/T + C2 + C3 T + C4 T^2 + ... + C_last ln T, T in K, with one set of coefficients
    over ice [1] and one over water [2]

    :param temperature_c: temperature [degC], -100 to 200.
    :returns: pressure [Pa].

    Limits: -100 to 200 degC.

    References:
    [1] ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 5
    [2] ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 6

    >>> round(saturation_pressure(20.0), 1)
    2338.8
    """
    if not -100.0 <= temperature_c <= 200.0:
        raise CalcError(
            "temperature", f"{temperature_c:g} degC has no saturation pressure here", "-100 to 200 degC"
        )
    kelvin = temperature_c + 273.15
    first, *powers, last = saturation_terms(temperature_c)
    polynomial = sum(term * kelvin**power for power, term in enumerate(powers))
    return math.exp(first / kelvin + polynomial + last * math.log(kelvin))


@refusing
def moist_air_density(temperature_c: float, humidity_ratio: float, pressure_pa: float) -> float:
    """Give the density of moist air as an ideal mixture.

    Formula: rho = (1 + W) p / (R_da T (1 + 1.607858 W)), R_da = 287.042 J/(kg K) [1]

    :param temperature_c: dry-bulb temperature [degC].
    :param humidity_ratio: water over dry air by mass, W [kg/kg].
    :param pressure_pa: barometric pressure [Pa].
    :returns: density [kg/m3].

    Limits: above absolute zero; pressures at which air is an ideal gas.

    References:
    [1] ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 9b, 26 and 27

    >>> round(moist_air_density(30.0, 0.02, 95461.0), 5)
    1.08412
    """
    kelvin = positive("temperature", temperature(name="temperature", value_c=temperature_c) + 273.15)
    volume = _GAS_CONSTANT_DRY_AIR * kelvin * (1 + 1.607858 * humidity_ratio) / pressure_pa
    return (1 + humidity_ratio) / volume


def air_density(temperature_c: float, altitude_m: float = 0.0, relative_humidity: float = 0.0) -> float:
    """Give the density of air in the standard atmosphere, as an ideal mixture.

    Formula: W = 0.621945 phi p_ws / (p - phi p_ws), rho = (1 + W) p / (287.042 T (1 + 1.607858 W)) [1]

    :param temperature_c: dry-bulb temperature [degC]; -100 to 200 where the air is not dry.
    :param altitude_m: altitude [m], -1000 to 11 000.
    :param relative_humidity: 0..1.
    :returns: density [kg/m3].

    Limits: altitude -1000 to 11 000 m; relative humidity 0 to 1; -100 to 200 degC where the air is not dry.

    References:
    [1] ASHRAE Handbook, Fundamentals (2017), ch. 1, eq. 3, 5, 6, 20, 22 and 26

    >>> round(air_density(20.0), 3), round(air_density(20.0, 1500.0, 0.5), 2)
    (1.204, 1.0)
    """
    pressure_pa = standard_pressure(altitude_m)
    temperature("temperature", temperature_c)
    humidity_ratio = 0.0
    if at_most_one("relative_humidity", relative_humidity) > 0:
        vapour_pa = relative_humidity * saturation_pressure(temperature_c)
        if vapour_pa >= pressure_pa:
            raise CalcError("relative_humidity", "water boils at that temperature", "less vapour than air")
        humidity_ratio = 0.621945 * vapour_pa / (pressure_pa - vapour_pa)
    return moist_air_density(temperature_c, humidity_ratio, pressure_pa)
