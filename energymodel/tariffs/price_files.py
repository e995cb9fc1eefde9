"""Files of hourly prices that a tariff names."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from energymodel.errors import InputError, ManyFaultsError
from energymodel.tariffs.hour_series import HourSeries, check_hours
from energymodel.tariffs.price_series import read_price_series
from energymodel.tariffs.tariff import Tariff


def read_price_files(tariff: Tariff, folder: Path, *, zone: str | None) -> Mapping[str, HourSeries]:
    """Read and check every file of hourly prices of a tariff.

    Parameters
    ----------
    tariff
        Names them.
    folder
        Of the tariff file: they are named from there.
    zone
        Time zone of the place; None: not known, hours that it skips or repeats are not checked.

    Returns
    -------
    mapping of str to HourSeries
        By name of the charge; charges without a file are left out.

    Raises
    ------
    ManyFaultsError
        With every file that is missing or cannot be read.
    """
    found, faults = {}, []
    for hourly in tariff.hourly:
        if not hourly.file:
            continue
        try:
            series = read_price_series(folder / hourly.file)
            if zone is not None:
                check_hours(series, zone)
        except InputError as error:
            faults.append(
                InputError(
                    error.what,
                    where=f'hourly ("{hourly.name}").file, {error.where}',
                    expected=error.expected or "a CSV file with the heading start,price",
                    remedy=error.remedy,
                )
            )
        else:
            found[hourly.name] = series
    if faults:
        raise ManyFaultsError(faults)
    return found
