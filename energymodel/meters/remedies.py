"""How a fact that a file does not say is given: as an option of a command, or from Python.

One table holds both spellings, so that every message names both in the same way.
"""

from __future__ import annotations

_OPTIONS = {
    "clock": "--clock",
    "date_order": "--date-order",
    "decimal_mark": "--decimal-mark",
    "dials": "--dials",
    "export_column": "--export-column",
    "heat_kwh_per_m3": "--heat-content",
    "interval_min": "--interval",
    "label": "--stamps",
    "meter_reading": "--series",
    "repeats": "--repeats",
    "signs": "--signs",
    "time_column": "--time-column",
    "unit": "--unit",
    "usage_point": "--usage-point",
    "value_column": "--column",
    "zone": "--zone",
}
_WORDS = {",": "comma", ".": "point"}
"""How marks are written as values of an option."""


def option_of(fact: str) -> str:
    """Return the option of the commands that gives a fact.

    Parameters
    ----------
    fact
        Name of the parameter from Python.

    Returns
    -------
    str
        For example "--interval".

    Examples
    --------
    >>> option_of("interval_min")
    '--interval'
    """
    return _OPTIONS[fact]


def say(**facts: str | float) -> str:
    """Return the words by which facts are given.

    Parameters
    ----------
    **facts
        Values by the name of their parameter from Python.

    Returns
    -------
    str
        Options of the commands, and the same from Python.

    Examples
    --------
    >>> print(say(unit="W", interval_min=30))
    say --unit W --interval 30 (from Python: unit="W", interval_min=30)
    """
    options = " ".join(_option(name, value) for name, value in facts.items())
    parameters = ", ".join(_parameter(name, value) for name, value in facts.items())
    return f"say {options} (from Python: {parameters})"


def say_one_of(fact: str, *values: str) -> str:
    """Return the words by which one of several values of a fact is given.

    Parameters
    ----------
    fact
        Name of the parameter from Python.
    *values
        What it may be.

    Returns
    -------
    str
        Options of the commands, and the same from Python.

    Examples
    --------
    >>> print(say_one_of("label", "start", "end"))
    say --stamps start or --stamps end (from Python: label="start" or label="end")
    """
    options = " or ".join(_option(fact, value) for value in values)
    parameters = " or ".join(_parameter(fact, value) for value in values)
    return f"say {options} (from Python: {parameters})"


def _option(name: str, value: str | float) -> str:
    return f"{_OPTIONS[name]} {_WORDS.get(str(value), value)}"


def _parameter(name: str, value: str | float) -> str:
    # NUMBER stands for what the user fills in
    bare = not isinstance(value, str) or value == "NUMBER" or value.isdecimal()
    quote = "" if bare else '"'
    return f"{name}={quote}{value}{quote}"
