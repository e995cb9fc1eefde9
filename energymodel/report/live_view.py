"""A comparison as pieces of HTML that are quick to make: answer, bars with ranges, table, faults.

For a page that follows each change of an input; the charts of `figures` take longer.
"""

from __future__ import annotations

import os
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from energymodel.errors import EnergyModelError, InputError, ManyFaultsError
from energymodel.report.comparison.against_now import payback_cell, saving_cell
from energymodel.report.comparison.closing import closing_lines
from energymodel.report.comparison.range_words import range_text, rounded_ends
from energymodel.report.figures.cost_view import CostView, cost_view, note
from energymodel.report.figures.style import CONTEXT, LOOKS, SOFT
from energymodel.report.numbers import Display, money
from energymodel.study.comparison.cost_parts import CostPart
from energymodel.study.comparison.cost_range import CostRange
from energymodel.study.comparison.outcome import Comparison, Outcome

STYLE = f"""<style>
.energymodel-view {{ font-size: 14px; line-height: 1.4; font-variant-numeric: tabular-nums;
  color: var(--jp-content-font-color1, black); max-width: 760px; }}
.energymodel-view p {{ margin: 0 0 6px 0; }}
.energymodel-view .answer {{ font-size: 18px; line-height: 1.3; font-weight: 600; }}
.energymodel-view .small {{ font-size: 12px; color: {CONTEXT}; }}
.energymodel-view table {{ border-collapse: collapse; width: 100%; font-size: 12.5px; margin: 0; }}
.energymodel-view th, .energymodel-view td {{ text-align: right; padding: 3px 0 3px 9px;
  border-bottom: 1px solid {SOFT}; vertical-align: top; background: none; }}
.energymodel-view th {{ font-weight: 600; vertical-align: bottom; }}
.energymodel-view th:first-child, .energymodel-view td:first-child {{ text-align: left;
  padding-left: 0; }}
.energymodel-view tr.best td {{ font-weight: 600; }}
.energymodel-view td .small {{ font-weight: 400; display: block; }}
.energymodel-fault {{ border-left: 3px solid {CONTEXT}; padding: 4px 0 4px 10px; font-size: 14px;
  line-height: 1.4; }}
.energymodel-option, .energymodel-option label, .energymodel-option span {{ height: auto;
  white-space: normal; line-height: 1.2; text-overflow: clip; }}
.energymodel-old {{ opacity: 0.35; }}
</style>"""
"""Goes once onto the page; the class `energymodel-old` greys a result that is out of date."""

_WIDTH = 740.0
_NAME_WIDTH = 214.0
_END_WIDTH = 128.0
_ROW = 40.0
_BAR = 20.0
_KEY = 24.0
_AXIS = 20.0
_NAME_LETTERS = 27


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LiveView:
    """A comparison with its ranges, ready to be written as HTML.

    Parameters
    ----------
    comparison
        All options.
    ranges
        Lowest, likely and highest cost by option.
    us
        US units, or SI.
    """

    comparison: Comparison
    ranges: Mapping[str, CostRange]
    us: bool

    @property
    def currency(self) -> str:
        """Code of the currency."""
        return self.comparison.model.scenario.content.currency


def live_html(view: LiveView) -> str:
    """Write answer, bars, table and what a reader must know.

    Parameters
    ----------
    view
        A comparison.

    Returns
    -------
    str
        One block of HTML; every text from the scenario is escaped.
    """
    lines = closing_lines(view.comparison, Display(us=view.us), view.ranges)
    answer, facts, cautions = lines[0], lines[1:-3], lines[-1]
    words = next(iter(view.ranges.values())).words
    costs = cost_view(view.comparison)
    parts = [
        f'<p class="answer">{escape(answer)}</p>',
        *(f"<p>{escape(fact)}</p>" for fact in facts),
        bars_svg(costs, view.ranges),
        table_html(view, costs),
        f'<p class="small" style="margin-top:6px">Low and high: {escape(words)}. Against now and'
        " payback: on the services there now, simple, nothing discounted.</p>",
        '<p class="small">Estimate, not a quotation or guarantee. ' + escape(cautions) + "</p>",
    ]
    return f'<div class="energymodel-view">{"".join(parts)}</div>'


def table_html(view: LiveView, costs: CostView) -> str:
    """Write one row per option: low, likely, high, against what is there now, payback.

    Parameters
    ----------
    view
        A comparison.
    costs
        Its costs.

    Returns
    -------
    str
        A table.
    """
    sign = escape(costs.sign)
    heads = [
        "Option",
        f"Low<br>{sign}/yr",
        f"Likely<br>{sign}/yr",
        f"High<br>{sign}/yr",
        f"Against now<br>{sign}/yr",
        f"Installed<br>{sign}",
        "Payback<br>years",
    ]
    rows = "".join(_row(view, costs, outcome) for outcome in view.comparison.outcomes)
    head = "".join(f"<th>{text}</th>" for text in heads)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _row(view: LiveView, costs: CostView, outcome: Outcome) -> str:
    found = view.ranges[outcome.name]
    low, high = rounded_ends(found.low, found.high)
    varies = bool(range_text(found.low, found.high))
    name = escape(outcome.name)
    words = note(outcome, costs)
    name += f'<span class="small">{escape(words)}</span>' if words else ""
    cells = [
        name,
        f"{low:,}" if varies else f"{found.low:,.0f}",
        f"{outcome.yearly_cost:,.0f}",
        f"{high:,}" if varies else f"{found.high:,.0f}",
        saving_cell(outcome).replace("-", "\u2212"),
        f"{outcome.first_cost:,.0f}" if outcome.cost_given else "not given",
        payback_cell(outcome).replace(">", "over "),
    ]
    best = ' class="best"' if outcome is view.comparison.cheapest else ""
    return f"<tr{best}>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"


def bars_svg(costs: CostView, ranges: Mapping[str, CostRange]) -> str:
    """Draw one bar per option with its range as a whisker.

    Parameters
    ----------
    costs
        Costs of all options.
    ranges
        Lowest, likely and highest cost by option.

    Returns
    -------
    str
        An SVG picture in the house colours, as wide as the page.
    """
    most = max(1.0, *(max(ranges[one.name].high, one.yearly_cost) for one in costs.outcomes))
    scale = (_WIDTH - _NAME_WIDTH - _END_WIDTH) / most
    height = _KEY + _ROW * len(costs.outcomes) + _AXIS
    inside = [_patterns(), *_key(costs)]
    for number, (outcome, parts) in enumerate(zip(costs.outcomes, costs.parts, strict=True)):
        top = _KEY + _ROW * number
        amounts = {part: float(values.sum()) for part, values in parts.items()}
        inside += _name(outcome, costs, top)
        inside += _stack(amounts, top, scale)
        inside += _whisker(ranges[outcome.name], costs, top, scale)
    bottom = _KEY + _ROW * len(costs.outcomes)
    inside.append(_line(_NAME_WIDTH, _KEY, _NAME_WIDTH, bottom, 1.0))
    words = f"Energy cost, {costs.sign} a year; line: lowest to highest"
    inside.append(_text(_NAME_WIDTH, bottom + 14.0, words, size=12, colour=CONTEXT))
    return (
        f'<svg viewBox="0 0 {_WIDTH:.0f} {height:.0f}" style="width:100%;display:block" role="img"'
        f' aria-label="Yearly cost of each option" font-size="13" fill="currentColor">'
        f"{''.join(inside)}</svg>"
    )


def _patterns() -> str:
    """Hatching of the parts, so that a grey print can be read."""
    lines = {"////": "M0 6L6 0", "----": "M0 3H6", "....": "M2 2h1.2v1.2h-1.2z"}
    made = [
        f'<pattern id="energymodel-{part.name}" width="6" height="6"'
        f' patternUnits="userSpaceOnUse"><rect width="6" height="6" fill="{look.colour}"/>'
        f'<path d="{lines[look.hatch]}" stroke="white" stroke-opacity="0.5" fill="none"/></pattern>'
        for part, look in LOOKS.items()
        if look.hatch
    ]
    return f"<defs>{''.join(made)}</defs>"


def _fill(part: CostPart) -> str:
    return f"url(#energymodel-{part.name})" if LOOKS[part].hatch else LOOKS[part].colour


def _key(costs: CostView) -> list[str]:
    found, x = [], _NAME_WIDTH
    for part in costs.kinds:
        found.append(_rect(x, 2.0, 16.0, 10.0, _fill(part)))
        found.append(_text(x + 21.0, 11.5, part.value, size=12))
        x += 36.0 + 6.6 * len(part.value)
    return found


def _name(outcome: Outcome, costs: CostView, top: float) -> list[str]:
    lines = textwrap.wrap(outcome.name, _NAME_LETTERS) or [""]
    lines = [*lines[:1], textwrap.shorten(" ".join(lines[1:]), _NAME_LETTERS, placeholder="…")]
    lines = [line for line in lines if line]
    middle = top + _ROW / 2.0 + 4.5 - 7.5 * (len(lines) - 1)
    best = outcome is costs.comparison.cheapest
    return [
        _text(0.0, middle + 15.0 * number, line, bold=best) for number, line in enumerate(lines)
    ]


def _stack(amounts: Mapping[CostPart, float], top: float, scale: float) -> list[str]:
    found, x = [], _NAME_WIDTH
    for part, amount in amounts.items():
        width = max(amount * scale, 0.0)
        found.append(_rect(x, top + (_ROW - _BAR) / 2.0, width, _BAR, _fill(part)))
        x += width
    return found


def _whisker(found: CostRange, costs: CostView, top: float, scale: float) -> list[str]:
    """Line from lowest to highest through the end of the bar, and the likely cost behind it."""
    middle = top + _ROW / 2.0
    low, high = (_NAME_WIDTH + max(end, 0.0) * scale for end in (found.low, found.high))
    end = max(high, _NAME_WIDTH + found.likely * scale) + 8.0
    likely = _text(end, middle + 4.5, money(found.likely, costs.currency), bold=True)
    text = range_text(found.low, found.high)
    if not text:
        return [likely]
    words = _text(end, middle + 17.0, text, size=11, colour=CONTEXT)
    ticks = [_line(x, middle - 4.0, x, middle + 4.0, 1.4) for x in (low, high)]
    return [_line(low, middle, high, middle, 1.4), *ticks, likely, words]


def _rect(x: float, y: float, width: float, height: float, fill: str) -> str:
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{fill}"/>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, width: float) -> str:
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="currentColor"'
        f' stroke-width="{width}"/>'
    )


def _text(
    x: float, y: float, text: str, *, size: int = 13, bold: bool = False, colour: str = ""
) -> str:
    weight = ' font-weight="600"' if bold else ""
    fill = f' fill="{colour}"' if colour else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}"{weight}{fill}>{escape(text)}</text>'


def fault_html(error: EnergyModelError | OSError) -> str:
    """Write a fault of the input calmly: what, what was expected, what to do.

    Parameters
    ----------
    error
        The fault; of several the first one, with how many more there are.

    Returns
    -------
    str
        One block of HTML.
    """
    if isinstance(error, OSError):
        error = InputError(f"cannot be written: {error.strerror or error}")
    faults: Sequence[EnergyModelError] = (
        error.faults if isinstance(error, ManyFaultsError) and error.faults else (error,)
    )
    first = faults[0]
    text = f"{first.where}: {first.what}" if first.where else first.what
    text += "" if text.endswith((".", "?")) else "."
    more = [f"Expected: {first.expected}."] if first.expected else []
    more += [first.remedy[0].upper() + first.remedy[1:] + "."] if first.remedy else []
    more += [f"And {len(faults) - 1} more."] if len(faults) > 1 else []
    small = f' <span style="color:{CONTEXT}">{escape(" ".join(more))}</span>' if more else ""
    return f'<div class="energymodel-fault">{escape(text)}{small}</div>'


def link_html(path: Path) -> str:
    """Write a link to a file that was made.

    Parameters
    ----------
    path
        The file; the link counts from the current folder, as JupyterLab reads it.

    Returns
    -------
    str
        Its name as a link, and its folder in words.
    """
    href = escape(os.path.relpath(path).replace(os.sep, "/"), quote=True)
    return (
        f'<p style="font-size:14px;margin:0">Written: <a href="{href}" target="_blank">'
        f"{escape(path.name)}</a><br><small>in {escape(str(path.resolve().parent))}</small></p>"
    )
