"""`energymodel handout [FILE]`: two pages for the customer, as PDF."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from energymodel.cli.compare import Units


class Paper(StrEnum):
    """Size of the sheet."""

    us_letter = "us-letter"
    a4 = "a4"


def handout(
    file: Annotated[
        Path | None, typer.Argument(help="Scenario file (TOML). Without it: the demo.")
    ] = None,
    *,
    out: Annotated[Path, typer.Option(metavar="FILE.pdf", help="PDF to write.")],
    prepared_for: Annotated[
        str | None, typer.Option("--for", metavar="NAME", help="Whom it is for.")
    ] = None,
    prepared_by: Annotated[
        str | None, typer.Option("--by", metavar="NAME", help="Who prepared it.")
    ] = None,
    paper: Annotated[
        Paper | None, typer.Option(help="Default: US letter with US units, A4 with SI.")
    ] = None,
    language: Annotated[
        str | None,
        typer.Option(metavar="CODE|FILE", help="Language such as en or es, or a file of words."),
    ] = None,
    units: Annotated[
        Units | None, typer.Option(help="Units of the page; default: the scenario's.")
    ] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Replace a file that exists.")] = False,
) -> None:
    """Write the customer's page: the answer, its reasons, cautions and sources on two sheets."""
    from energymodel.new_file import check_new_file
    from energymodel.report.handout.handout import ENDINGS, write_handout
    from energymodel.report.handout.lines import print_handout
    from energymodel.report.handout.sheet import HandoutSettings
    from energymodel.study.comparison.compare import compare

    check_new_file(out, endings=ENDINGS, replace=replace)
    comparison = compare(file)
    shown = units.value if units else comparison.model.scenario.content.units
    notices = write_handout(
        comparison,
        out,
        us=shown == "us",
        replace=replace,
        settings=HandoutSettings(
            prepared_for=prepared_for,
            prepared_by=prepared_by,
            paper=paper.value if paper else None,
            language=language,
        ),
    )
    print_handout(comparison, out, notices)
