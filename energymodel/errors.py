"""What goes wrong in words a user can act on: one base class, one shape of message."""

from __future__ import annotations

from collections.abc import Iterable


class EnergyModelError(Exception):
    """A fault with the place it was found, what was expected and what to do.

    Parameters
    ----------
    what
        What was found, as a full sentence without a final stop.
    where
        File, line, row or path inside a file; empty when there is no place to point at.
    expected
        What would have been right.
    remedy
        What the user can do.

    Examples
    --------
    >>> print(EnergyModelError("the unit is missing", where="room.toml", expected='"15 degF"'))
    room.toml: the unit is missing.
      expected: "15 degF"
    """

    def __init__(self, what: str, *, where: str = "", expected: str = "", remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.expected = expected
        self.remedy = remedy

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        lines = [head if head.endswith((".", "?")) else head + "."]
        if self.expected:
            lines.append(f"  expected: {self.expected}")
        if self.remedy:
            lines.append(f"  what to do: {self.remedy}")
        return "\n".join(lines)

    def __reduce__(self) -> tuple[object, ...]:
        """Keep the keyword arguments when the error crosses a process border."""
        return (_rebuild, (type(self), self.what, self.where, self.expected, self.remedy))


def _rebuild(
    kind: type[EnergyModelError], what: str, where: str, expected: str, remedy: str
) -> EnergyModelError:
    return kind(what, where=where, expected=expected, remedy=remedy)


def install_line(extra: str) -> str:
    """Say how to install what an optional part needs.

    Parameters
    ----------
    extra
        Name of the extra: "cluster", "notebooks" or "sweeps".

    Returns
    -------
    str
        A remedy.

    Examples
    --------
    >>> install_line("sweeps")
    "in the project's folder: pip install '.[sweeps]'"
    """
    return f"in the project's folder: pip install '.[{extra}]'"


class InputError(EnergyModelError):
    """A value, file or option given by the user cannot be used."""


class WeatherError(EnergyModelError):
    """A weather file or station answer cannot be used."""


class EquipmentError(EnergyModelError):
    """An equipment description is impossible or incomplete."""


class ManyFaultsError(EnergyModelError):
    """Several faults of one input, all reported at once.

    Parameters
    ----------
    faults
        The single faults, in the order in which they stand in the input.
    where
        The input they belong to.
    """

    def __init__(self, faults: Iterable[EnergyModelError], *, where: str = "") -> None:
        self.faults = tuple(faults)
        count = len(self.faults)
        super().__init__(f"{count} fault{'s' if count != 1 else ''} found", where=where)

    def __str__(self) -> str:
        if len(self.faults) == 1:
            only = self.faults[0]
            return f"{self.where}: {only}" if self.where else str(only)
        head = f"{self.where}: {self.what}:" if self.where else f"{self.what}:"
        return "\n".join([head, *(f"- {fault}" for fault in self.faults)])

    def __reduce__(self) -> tuple[object, ...]:
        """Keep the single faults when the error crosses a process border."""
        return (_rebuild_many, (self.faults, self.where))


def _rebuild_many(faults: tuple[EnergyModelError, ...], where: str) -> ManyFaultsError:
    return ManyFaultsError(faults, where=where)
