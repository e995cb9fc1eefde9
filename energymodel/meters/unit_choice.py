"""The unit of a table's values: given, in the header, or asked for; never guessed from size."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from energymodel.meters.columns import Columns
from energymodel.meters.facts import TableFacts
from energymodel.meters.import_report import MeterError, ReadAs, place
from energymodel.meters.meter_units import MeterUnit, find_unit, known_unit
from energymodel.meters.remedies import say
from energymodel.meters.table import MeterTable


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitChoice:
    """The unit of each row.

    Parameters
    ----------
    main
        Unit of the first row.
    of_rows
        Unit of each row where the table has a column of units; else empty.
    doubtful
        Whether the unit is one of power that only the header states: such headers are often wrong.
    read_as
        How it was found.
    """

    main: MeterUnit
    of_rows: tuple[MeterUnit, ...]
    doubtful: bool
    read_as: ReadAs


def choose_unit(
    table: MeterTable, columns: Columns, facts: TableFacts, *, step_s: int | None
) -> UnitChoice:
    """Find the unit of the values.

    Parameters
    ----------
    table
        Table.
    columns
        Roles of its columns.
    facts
        What the user knows.
    step_s
        Distance of the stamps, s; None for a single row.

    Returns
    -------
    UnitChoice
        Unit.

    Raises
    ------
    MeterError
        If no unit is stated, or two columns state different ones.
    """
    if facts.unit is not None:
        unit = known_unit(facts.unit, where=table.name)
        return _choice(unit, "given", doubtful=False)
    if columns.unit is not None:
        return _row_units(table, columns.unit)
    headed = [column.unit for column in columns.values if column.unit is not None]
    if len({unit.name for unit in headed}) > 1:
        raise MeterError(
            "the columns of use and export have different units: "
            + ", ".join(unit.name for unit in headed),
            where=table.name,
            expected="one unit for both",
            remedy=say(unit="kWh")
            + ", for example, or choose the column: "
            + say(value_column="NUMBER"),
        )
    if headed:
        return _choice(headed[0], "header", doubtful=_doubtful(headed[0], step_s))
    if table.stated_unit is not None:
        doubtful = _doubtful(table.stated_unit, step_s)
        return _choice(table.stated_unit, "line before the table", doubtful=doubtful)
    raise _missing(table, facts, step_s)


def _doubtful(unit: MeterUnit, step_s: int | None) -> bool:
    """Over whole hours the number of kW is the number of kWh."""
    return unit.kind == "power" and step_s != 3600


def _choice(unit: MeterUnit, basis: str, *, doubtful: bool) -> UnitChoice:
    read_as = ReadAs(name="unit", value=unit.name, basis=basis)
    return UnitChoice(main=unit, of_rows=(), doubtful=doubtful, read_as=read_as)


def _row_units(table: MeterTable, index: int) -> UnitChoice:
    cells = table.column(index)
    known = {cell: find_unit(cell) for cell in dict.fromkeys(cells)}
    units: list[MeterUnit] = []
    for line, cell in zip(table.lines, cells, strict=True):
        unit = known[cell]
        if unit is None:
            raise MeterError(
                "the unit of this row is not known",
                where=place(table.name, line),
                expected="a unit in every row, as kWh or Wh",
            )
        units.append(unit)
    names = " and ".join(dict.fromkeys(unit.name for unit in units))
    kinds: Sequence[str] = sorted({unit.kind for unit in units})
    if len(kinds) > 1:
        raise MeterError(
            f"the rows have units of different kinds: {names}",
            where=table.name,
            expected="units of one kind",
        )
    return UnitChoice(
        main=units[0],
        of_rows=tuple(units),
        doubtful=kinds == ["power"],
        read_as=ReadAs(name="unit", value=names, basis="column of units"),
    )


def _missing(table: MeterTable, facts: TableFacts, step_s: int | None) -> MeterError:
    gas = facts.commodity == "gas"
    units = "therm, ccf, m3, ft3 or kWh" if gas else "W, kW, Wh or kWh"
    apart = f" (the stamps are {step_s / 60:g} min apart)" if step_s else ""
    if gas or facts.interval_min is not None:
        what = f"the unit of the values ({units}) is not stated"
        remedy = say(unit="therm" if gas else "kWh") + ", for example, as on the bill"
    else:
        what = (
            f"two facts are missing: the unit of the values ({units}) and, as they may be "
            f"averages of power, the interval that each covers{apart}"
        )
        minutes = step_s / 60 if step_s else 30
        remedy = (
            say(unit="W", interval_min=f"{minutes:g}") + ", for example, as the portal or meter "
            "states; energy per interval needs the unit alone"
        )
    return MeterError(
        what,
        where=table.name,
        expected="a header with the unit, such as kWh",
        remedy=remedy,
    )
