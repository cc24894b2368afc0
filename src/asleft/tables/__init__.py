"""Published tables: each a data file with its source, read when first wanted, immutable once read."""

from asleft.tables.house import HeatingPoints, constructions, heat_pump_points
from asleft.tables.loading import TableError
from asleft.tables.source import TableSource, table_names, table_source
from asleft.tables.supplies import base_voltage, iec_nominals, iec_supply_range, supply_range
from asleft.tables.wiring import (
    COLUMNS,
    MATERIALS,
    Conductor,
    Resistance,
    ambient_factor,
    bundling_factor,
    conductor,
    conductors,
    device_sizes,
    iec_capacities,
    iec_device_sizes,
    motor_derating,
)

__all__ = [
    "COLUMNS",
    "MATERIALS",
    "Conductor",
    "HeatingPoints",
    "Resistance",
    "TableError",
    "TableSource",
    "ambient_factor",
    "base_voltage",
    "bundling_factor",
    "conductor",
    "conductors",
    "constructions",
    "device_sizes",
    "heat_pump_points",
    "iec_capacities",
    "iec_device_sizes",
    "iec_nominals",
    "iec_supply_range",
    "motor_derating",
    "supply_range",
    "table_names",
    "table_source",
]
