"""Parts of a sweep as files: Parquet with coded names, or CSV."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd


def encoded(frame: pd.DataFrame, ending: str) -> bytes:
    """Write rows as the content of a file.

    Parameters
    ----------
    frame
        The rows.
    ending
        ".parquet" or ".csv".

    Returns
    -------
    bytes
        Content.
    """
    if ending == ".parquet":
        parquet: Any = import_module("pyarrow.parquet")
        buffer = BytesIO()
        parquet.write_table(_table(frame), buffer)
        return buffer.getvalue()
    return frame.to_csv(index=False, lineterminator="\n").encode()


def write_part(path: Path, content: bytes) -> None:
    """Write a part under a temporary name, then rename it: it is there whole or not at all.

    Parameters
    ----------
    path
        Of the part.
    content
        From :func:`encoded`.
    """
    temporary = _temporary(path)
    try:
        temporary.write_bytes(content)
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)


def read_exactly(path: Path) -> pd.DataFrame:
    """Read a CSV table with every number as it was written.

    Parameters
    ----------
    path
        The file.

    Returns
    -------
    DataFrame
        Its rows; before version 3 pandas rounds the last digit unless it is asked not to.
    """
    if int(pd.__version__.partition(".")[0]) < 3:
        return pd.read_csv(path, float_precision="round_trip")
    return pd.read_csv(path)


def read_part(path: Path) -> pd.DataFrame:
    """Read a part back.

    Parameters
    ----------
    path
        Ends in .parquet or .csv.

    Returns
    -------
    DataFrame
        Its rows.
    """
    if path.suffix == ".parquet":
        return pd.read_parquet(path)
    return read_exactly(path)


def join_parts(parts: Sequence[Path], target: Path) -> None:
    """Write all parts into one file, one after another.

    Parameters
    ----------
    parts
        In order.
    target
        Written under a temporary name, then renamed.
    """
    temporary = _temporary(target)
    try:
        join = _join_parquet if target.suffix == ".parquet" else _join_csv
        join(parts, temporary)
        temporary.replace(target)
    finally:
        temporary.unlink(missing_ok=True)


def _temporary(path: Path) -> Path:
    return path.with_name(f".{path.name}.part")


def _join_csv(parts: Sequence[Path], target: Path) -> None:
    with target.open("wb") as file:
        for number, part in enumerate(parts):
            with part.open("rb") as source:
                head = source.readline()
                if number == 0:
                    file.write(head)
                while block := source.read(1 << 20):
                    file.write(block)


def _join_parquet(parts: Sequence[Path], target: Path) -> None:
    parquet: Any = import_module("pyarrow.parquet")
    first = parquet.ParquetFile(parts[0])
    with first, parquet.ParquetWriter(target, first.schema_arrow) as writer:
        for part in parts:
            with parquet.ParquetFile(part) as source:
                writer.write_table(source.read())


def _table(frame: pd.DataFrame) -> Any:
    """Make an Arrow table whose schema does not depend on which texts occur in the part."""
    pa: Any = import_module("pyarrow")
    return pa.table({str(name): _column(pa, frame[name]) for name in frame.columns})


def _column(pa: Any, column: pd.Series[Any]) -> Any:
    if not isinstance(column.dtype, pd.CategoricalDtype):
        if column.dtype == object or pd.api.types.is_string_dtype(column.dtype):
            return pa.array(column.tolist(), pa.string())
        return pa.array(column.to_numpy())
    codes = column.cat.codes.to_numpy().astype(np.int32)
    texts = pa.array([str(text) for text in column.cat.categories], pa.string())
    return pa.DictionaryArray.from_arrays(pa.array(codes, mask=codes < 0), texts)
