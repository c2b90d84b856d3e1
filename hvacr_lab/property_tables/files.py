"""The property tables as they are shipped: one file for each refrigerant, data/tables/R-134a.npz.

Each file holds coefficients of cubic splines (splines.py). With ``lines``, 256 intervals in the logarithm of the
pressure carry the dew and the bubble line; with ``surfaces``, the departure of vapour and liquid from their line,
64 intervals in the logarithm of the pressure by 64 in the square root of the distance from the line; and for blends
the departure of the wet vapour from the straight line between bubble and dew point, by quality.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

LINE_INTERVALS = 256
PRESSURE_INTERVALS = 64
DISTANCE_INTERVALS = 64
QUALITY_INTERVALS = 32
_FIXED_DATE = (1980, 1, 1, 0, 0, 0)
# the earliest date a zip file can hold: the same tables give the same bytes


@dataclass(frozen=True, slots=True)
class TableFile:
    """Contents of one file: ``about`` says what and from where, ``arrays`` holds the coefficients by name."""

    about: dict[str, Any]
    arrays: dict[str, NDArray[Any]]

    @property
    def digest(self) -> str:
        """SHA-256 over names and bytes of all arrays."""
        mark = hashlib.sha256()
        for name in sorted(self.arrays):
            mark.update(name.encode())
            mark.update(np.ascontiguousarray(self.arrays[name]).tobytes())
        return mark.hexdigest()


def pack(table: TableFile) -> bytes:
    """Bytes of the file; the same table always gives the same bytes.

    Parameters
    ----------
    table : TableFile

    Returns
    -------
    bytes, a zip file as numpy writes it

    Source
    ------
    Own format.

    Examples
    --------
    >>> table = TableFile({"name": "R-0"}, {"line": np.zeros(3)})
    >>> unpack(pack(table)).about["name"]
    'R-0'
    """
    buffer = io.BytesIO()
    about = json.dumps({**table.about, "digest": table.digest}, sort_keys=True)
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, array in sorted({**table.arrays, "about": np.array([about])}.items()):
            member = io.BytesIO()
            np.lib.format.write_array(member, np.ascontiguousarray(array), allow_pickle=False)
            entry = zipfile.ZipInfo(f"{name}.npy", _FIXED_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, member.getvalue())
    return buffer.getvalue()


def unpack(content: bytes) -> TableFile:
    """Read what pack wrote.

    Parameters
    ----------
    content : bytes

    Returns
    -------
    TableFile, its arrays locked against writing

    Source
    ------
    Own format.

    Examples
    --------
    >>> unpack(pack(TableFile({}, {"line": np.ones(2)}))).arrays["line"].tolist()
    [1.0, 1.0]
    """
    with np.load(io.BytesIO(content), allow_pickle=False) as archive:
        arrays = {name: archive[name] for name in archive.files if name != "about"}
        about = json.loads(str(archive["about"][0]))
    for array in arrays.values():
        array.setflags(write=False)
    return TableFile(about, arrays)


def shipped_table(name: str) -> TableFile:
    """The table that the package carries for a refrigerant.

    Parameters
    ----------
    name : str, in the form "R-134a"

    Returns
    -------
    TableFile

    Source
    ------
    Made by tools/build_tables.py from the equations of state in CoolProp.

    Examples
    --------
    >>> shipped_table("R-134a").about["kind"]
    'pure'
    """
    return unpack(files("hvacr_lab").joinpath("data", "tables", f"{name}.npz").read_bytes())
