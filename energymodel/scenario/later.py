"""Records that are imported and made ready when a file first has their table.

A scenario file may hold many tables and most hold few, so start-up stays short.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Annotated, Any

from pydantic import BaseModel, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema


def checked_apart(record: type[BaseModel]) -> CoreSchema:
    """Let a record inside another be checked by its own validator, made at its first use.

    Parameters
    ----------
    record
        The inner record.

    Returns
    -------
    CoreSchema
        For the schema around it; faults keep their place.
    """
    return core_schema.no_info_plain_validator_function(record.model_validate)


@dataclass(frozen=True, slots=True, kw_only=True)
class Later:
    """Mark of a field whose record is not imported yet.

    Parameters
    ----------
    module
        Name of the module inside `energymodel.scenario`.
    name
        Name of the record.
    """

    module: str
    name: str

    @property
    def record(self) -> type[BaseModel]:
        """The record, imported now."""
        home = import_module(f"energymodel.scenario.{self.module}")
        found: type[BaseModel] = getattr(home, self.name)
        return found

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self._checked)

    def _checked(self, value: object) -> BaseModel:
        return self.record.model_validate(value)


def later(module: str, name: str) -> Any:
    """Return the type of a field whose record is imported when a file has it.

    Parameters
    ----------
    module
        Name of the module inside `energymodel.scenario`.
    name
        Name of the record.

    Returns
    -------
    type
        To stand in an optional field or in a list: alone it would lose its mark.
    """
    return Annotated[Any, Later(module=module, name=name)]
