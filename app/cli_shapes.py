"""Commands around a core's shape: repair a mesh, advise on orientations, calibrate from coupons."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

OK = 0
Language = Literal["en", "de"]


def repair(mesh: Path, out: Path, *, unit: str | None = None, language: Language = "en") -> int:
    """Write a repaired copy of a mesh as STL in mm, and print what was done and changed.

    Parameters
    ----------
    mesh
        The mesh file; it is not changed.
    out
        The new STL file; an existing one is not overwritten.
    unit
        Length unit of a mesh whose format has none.
    language
        Language of the report.
    """
    from corelib.usecases.shaping import repair_file, repair_lines

    print("\n".join(repair_lines(repair_file(mesh, out, unit=unit), language)))
    return OK


def orient(
    mesh: Path, *, unit: str | None = None, process: str | None = None, language: Language = "en"
) -> int:
    """Print the six sides on which a core may lie, best first, with each term of the score.

    Parameters
    ----------
    mesh
        The mesh file.
    unit
        Length unit of a mesh whose format has none.
    process
        Process profile that sets layer thickness and least wall.
    language
        Language of the table's head.
    """
    from corelib.usecases.shaping import orientation_lines

    print("\n".join(orientation_lines(mesh, unit=unit, process=process, language=language)))
    return OK


def calibrate(
    coupons: Path,
    *,
    process: str | None = None,
    date: str | None = None,
    out: Path = Path("profiles"),
    language: Language = "en",
) -> int:
    """Fit scale error and bleed to measured coupons and write a dated revision of the process profile.

    Parameters
    ----------
    coupons
        Table (CSV or xlsx): columns nominal, printed, measured, side (outside, inside), axis (x, y, z).
    process
        Process profile that is calibrated.
    date
        Date of the measurement (YYYY-MM-DD); today if not said.
    out
        Folder to write process/ID.json in.
    language
        Language of the report.
    """
    from corelib.usecases.shaping import calibrate_file

    report = calibrate_file(coupons, process=process, date=date, out=out, language=language)
    print("\n".join(report.lines))
    print(report.path)
    return OK
