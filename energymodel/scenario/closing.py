"""Accounts that an option closes: what the file must say for it, and what cannot be."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from energymodel.errors import InputError
from energymodel.scenario.fields import shown
from energymodel.scenario.prices import ELECTRICITY, carrier_of
from energymodel.scenario.schema import OptionTable, Price


def closing_faults(
    table: OptionTable, prices: Mapping[str, Price], used: Collection[str]
) -> Iterator[InputError]:
    """Look for accounts that an option cannot close, and for use that is left out.

    Parameters
    ----------
    table
        The option.
    prices
        By carrier.
    used
        Carriers that the option heats or cools with.

    Yields
    ------
    InputError
        One per fault.
    """
    for name in table.closes_account:
        what, expected = _fault(carrier_of(name), table, prices, used)
        if what:
            yield InputError(what, where="closes_account", expected=expected)
    ended = [name for name in table.closes_account if _other_use(prices, carrier_of(name))]
    if ended and table.appliance_use_kwh is None:
        yield InputError(
            f"the other use of {ended[0]} ends, and what replaces it is not given",
            where="closes_account",
            expected="appliance_use_kwh = [...]: electricity in January to December of the"
            " appliances that take its place, zeros if none do",
        )
    if table.appliance_use_kwh is not None and not ended:
        yield InputError(
            "the use of new appliances is given, that of the old ones is not",
            where="appliance_use_kwh",
            expected="other_use = [...] in the price table of the account that closes",
        )


def _fault(
    carrier: str, table: OptionTable, prices: Mapping[str, Price], used: Collection[str]
) -> tuple[str, str]:
    if carrier not in prices:
        return f"there is no account of {shown(carrier)}", "one of " + ", ".join(prices)
    if carrier == ELECTRICITY:
        return "the account of electricity cannot be closed", "the account of a fuel"
    if table.present:
        return f"what is there now keeps its account of {carrier}", "it on another option"
    if not kept_open(prices[carrier]):
        return (
            f"nothing but heat is on the account of {carrier}, so it closes by itself",
            "other_uses = true in its price table, if something else keeps it open now",
        )
    if carrier in used:
        return f"it still uses {carrier}", "an option without it"
    return "", ""


def kept_open(price: Price) -> bool:
    """Whether something besides heating and cooling keeps an account open.

    Parameters
    ----------
    price
        Of a fuel.

    Returns
    -------
    bool
        As the scenario says; a fuel account is for heating only where it says nothing.
    """
    if price.other_uses is not None:
        return price.other_uses
    use = (*(price.other_use or ()), *(price.other_use_kwh or ()))
    return any(use) or bool(price.other_appliances)


def _other_use(prices: Mapping[str, Price], carrier: str) -> bool:
    price = prices.get(carrier)
    return price is not None and any((*(price.other_use or ()), *(price.other_use_kwh or ())))
