"""Tables that are told by their `kind`: only the record of the kind that is written is made."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from energymodel.scenario.later import checked_apart
from energymodel.scenario.shape import kinds, records


@dataclass(frozen=True, slots=True)
class ByKind:
    """Mark of a union of records, each with words of its own in `kind`."""

    def __get_pydantic_core_schema__(
        self, source: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        choices = {
            kind: checked_apart(record) for record in records(source) for kind in kinds(record)
        }
        return core_schema.tagged_union_schema(choices, discriminator="kind")
