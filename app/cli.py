"""The command line: a command a use case. It imports neither Qt nor a 3D library.

Results go to standard output, progress and the one sentence of an error to standard error. Exit status:
0 well; 1 the plan has a stop; 2 input or usage; 3 a fault of our own (the log file is named); 130 cancelled.
"""

from __future__ import annotations

import datetime
import json
import logging
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import App, CycloptsError, Parameter

from app.cli_shapes import calibrate, orient, repair
from app.cli_sheets import compare, number, quote, sheets
from app.console import (
    BAD_INPUT,
    CANCELLED,
    HAS_STOP,
    OK,
    OWN_FAULT,
    progress,
    read_meshes_soon,
    say,
    whole_numbers,
)
from app.settings import start_log
from corelib import __version__
from corelib.errors import Cancelled, ChildError, CorestowError
from corelib.wording import error_sentence

OpenWindow = Callable[[Path | None], int]
"""Opens the window on a job file or on nothing. It is handed in, so that this module never meets Qt."""


def make_app(open_window: OpenWindow) -> App:
    """Return the command line with all its commands."""
    app = App(
        name="corestow",
        help="Plan builds of binder-jet printed sand cores. Without arguments: open the window.",
        version=__version__,
        result_action="return_value",
    )

    def open_job(job: Path | None = None) -> int:
        """Open the window, with a job if one is named.

        Parameters
        ----------
        job
            The job file to open.
        """
        return open_window(job)

    app.command(open_job, name="open")
    for command in COMMANDS:
        app.command(command)
    return app


def run(arguments: Sequence[str], open_window: OpenWindow) -> int:
    """Run the command line on its arguments and return the exit status; never raises."""
    try:
        return _command(arguments, open_window)
    except KeyboardInterrupt:
        say(error_sentence(Cancelled()))
        return CANCELLED
    except BrokenPipeError:
        return OK
    except Cancelled as error:
        say(error_sentence(error))
        return CANCELLED
    except ChildError as error:
        log = start_log()
        logging.error("%s %s", error.code, error.facts)
        say(f"{error_sentence(error)} Log: {log}")
        return OWN_FAULT
    except CorestowError as error:
        say(error_sentence(error))
        return BAD_INPUT
    except Exception as error:
        log = start_log()
        logging.exception("a fault of our own")
        sentence = error_sentence(ChildError("work.failed", reason=f"{type(error).__name__}: {error}"))
        say(f"{sentence} Log: {log}")
        return OWN_FAULT


def _command(arguments: Sequence[str], open_window: OpenWindow) -> int:
    if not arguments:
        return open_window(None)
    try:
        status = make_app(open_window)(list(arguments), exit_on_error=False, print_error=False)
    except CycloptsError as error:
        text = " ".join(str(error).split())
        say(f"{text} See: corestow --help")
        return BAD_INPUT
    return status if isinstance(status, int) else OK


def new(
    job: Path,
    *meshes: str,
    unit: str | None = None,
    box: str | None = None,
    gap: float | None = None,
    layer: float | None = None,
    binder_on_sand: float | None = None,
    machine: str | None = None,
    block: Annotated[list[str] | None, Parameter(negative="")] = None,
) -> int:
    """Write a job from mesh files with the default profiles.

    Parameters
    ----------
    job
        The job file to write.
    meshes
        Mesh files, each with its count as MESH=COUNT (1 if not said).
    unit
        Length unit of meshes whose format has none: mm, micron, cm, m, inch, foot.
    box
        Inner size of the build box in mm, as X,Y,Z.
    gap
        Least sand between two cores in mm.
    layer
        Layer thickness in mm.
    binder_on_sand
        Liquid binder in parts by mass per 100 parts of sand.
    machine
        Machine profile.
    block
        A core without a mesh, by outer size and mass: NAME=X,Y,Z,KG or NAME=X,Y,Z,KG=COUNT.
    """
    from corelib.usecases.jobs import NewJob, write_new_job

    asked = NewJob(
        meshes=tuple(meshes),
        blocks=tuple(block or ()),
        unit=unit,
        box=box,
        gap_mm=gap,
        layer_thickness_mm=layer,
        binder_on_sand_pct=binder_on_sand,
        machine=machine,
    )
    written = write_new_job(job, asked)
    print(f"{job}: {len(written.cores)} core types, {sum(written.copies().values())} copies")
    return OK


def check(*files: Path, unit: str | None = None, process: str | None = None) -> int:
    """Print the findings on job files, mesh files, and folders of mesh files.

    Parameters
    ----------
    files
        Job files (.json), mesh files, or folders of mesh files.
    unit
        Length unit of meshes whose format has none.
    process
        Process profile against which mesh files are judged (a job has its own).
    """
    read_meshes_soon()
    from corelib.usecases.checking import check_files

    report = check_files(files, unit=unit, process=process, progress=progress())
    for line in report.lines:
        print(line)
    return HAS_STOP if report.has_stop else OK


def plan(
    job: Path,
    *,
    out: Path | None = None,
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
) -> int:
    """Plan a job: print a summary and write plan.json, run.json, layers.csv and summary.html.

    Parameters
    ----------
    job
        The job file.
    out
        Folder for the files; JOB.plan beside the job if not said.
    as_json
        Print the plan as JSON alone on standard output.
    """
    read_meshes_soon()
    from corelib.usecases.plans import plan_to_folder, summary_lines

    result = plan_to_folder(job, out, progress=progress())
    if as_json:
        sys.stdout.buffer.write(result.plan_json)
    else:
        print("\n".join(summary_lines(result.document)))
        print(f"\nFiles: {result.folder}")
    return HAS_STOP if result.has_stop else OK


def nest(
    job: Path,
    *,
    seconds: float | None = None,
    seed: int | None = None,
    write: Annotated[bool, Parameter(negative="")] = False,
    keep: Annotated[bool, Parameter(negative="")] = False,
    most_sets: Annotated[bool, Parameter(negative="")] = False,
    scheduler: str | None = None,
    language: Literal["en", "de"] = "en",
) -> int:
    """Search a packing for a job: heights, fill, bounds, how it is unpacked. Ctrl-C keeps the best so far.

    Parameters
    ----------
    job
        The job file. Locked placements stay where they are.
    seconds
        How long to search (to the end of a round); the job's own effort if not said.
    seed
        Seed of the search; the job's own if not said.
    write
        Write the packing and the effort reached into the job file.
    keep
        Leave the cores of the job's packing where they are and only add what is missing; list the changes.
    most_sets
        Find how many whole casting sets a full box holds, instead of packing the job's own number.
    scheduler
        Address of a dask scheduler that does the work.
    language
        Language of the lines.
    """
    read_meshes_soon()
    from corelib.usecases.nesting import most_sets_line, nest_job

    if most_sets:
        print(most_sets_line(job, language=language, progress=progress()))
        return OK
    result = nest_job(
        job, seconds=seconds, seed=seed, write=write, keep=keep, scheduler=scheduler,
        language=language, progress=progress(),
    )  # fmt: skip
    print("\n".join(result.lines))
    if result.was_cancelled:
        return CANCELLED
    return HAS_STOP if result.has_stop else OK


def process(
    what: str,
    *,
    settings: Annotated[list[str] | None, Parameter(name="--set", negative="")] = None,
    profiles: Path | None = None,
    chart: Path | None = None,
    sensitivity: Annotated[bool, Parameter(negative="")] = False,
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
    language: Literal["en", "de"] = "en",
) -> int:
    """Print the process sheet of a job or profile: stated and solved values, findings, sources.

    Parameters
    ----------
    what
        A job file, a profile file, or a profile by its name (ID or KIND/ID).
    settings
        A value to replace for this sheet, as FIELD=VALUE (head.nozzle_temperature_c=30); may be repeated.
    profiles
        Folder of more profiles (KIND/ID.json); a job's own folder if not said.
    chart
        File for the chart of the droplet window (SVG).
    sensitivity
        Print which inputs move dose, accuracy, time and cost most instead of the sheet.
    as_json
        Print the sheet as JSON alone on standard output.
    language
        Language of the sheet.
    """
    from corelib.usecases.process import process_of, read_settings, sensitivity_of

    replaced = read_settings(settings or ())
    if sensitivity:
        lines = sensitivity_of(what, replaced, profiles=profiles, language=language, progress=progress())
        print("\n".join(lines))
        return OK
    sheet = process_of(what, replaced, profiles=profiles, language=language, progress=progress())
    if chart is not None:
        sheet.write_chart(chart, language)
    if as_json:
        sys.stdout.buffer.write(sheet.json_bytes)
    else:
        print("\n".join(sheet.lines))
    return HAS_STOP if sheet.has_stop else OK


def measure(
    route: str | None = None,
    profile: str | None = None,
    *readings: str,
    date: str | None = None,
    out: Path = Path("profiles"),
    profiles: Path | None = None,
    language: Literal["en", "de"] = "en",
) -> int:
    """Write a dated revision of a profile from a measurement; without a profile, print the form to fill in.

    Parameters
    ----------
    route
        Measuring route: drop_volume, bed_density, oven_efficiency, layer_times, unpacking, open_time.
    profile
        The profile that is measured for, by its id.
    readings
        The form's lines as NAME=VALUE or NAME=VALUE,VALUE,...
    date
        Date of the measurement (YYYY-MM-DD); today if not said.
    out
        Folder to write KIND/ID.json in.
    profiles
        Folder of more profiles (KIND/ID.json).
    language
        Language of the form.
    """
    from corelib.usecases.measuring import measure_profile, read_readings, route_lines

    if route is None or profile is None:
        print("\n".join(route_lines(route, language)))
        return OK
    day = date or datetime.date.today().isoformat()
    path, _ = measure_profile(route, profile, read_readings(readings), date=day, out=out, profiles=profiles)
    print(path)
    return OK


def layers(
    job: Path,
    *,
    out: Path,
    image_format: Annotated[str, Parameter(name="--format")] = "tiff",
    dead: str | None = None,
    critical: str | None = None,
    spare: Path | None = None,
) -> int:
    """Write the images of all layers with an index, the stroke list and the nozzles' drops and idle times.

    Parameters
    ----------
    job
        The job file.
    out
        Folder for the files. A run that was cut off is taken up where it stopped.
    image_format
        tiff (CCITT group 4) or png.
    dead
        Today's dead nozzles, as 12,13,400; the first is 0.
    critical
        Ids of cores that dead nozzles are to spare first, as A,B; all cores if not said.
    spare
        Where to write the job with its contents moved so that the dead nozzles spare these cores.
    """
    read_meshes_soon()
    from corelib.usecases.imaging import ImagesAsked, layers_to_folder

    asked = ImagesAsked(
        image_format=image_format,
        dead_nozzles=tuple(whole_numbers("--dead", dead)),
        critical_cores=frozenset(critical.split(",")) if critical else frozenset(),
        spared_job=spare,
    )
    result = layers_to_folder(job, out, asked, progress=progress())
    print("\n".join(result.lines))
    print(f"\nFiles: {result.folder}")
    return HAS_STOP if result.has_stop else OK


def warm() -> int:
    """Compile the computing kernels once, so that later starts are quick."""
    from corelib.usecases.warming import warm_kernels

    print(json.dumps(warm_kernels(), sort_keys=True))
    return OK


def licences() -> int:
    """Print Corestow's licence and those of the libraries that it uses."""
    from corelib.usecases.licences import licence_texts

    print(licence_texts())
    return OK


COMMANDS: tuple[Callable[..., int], ...] = (
    new,
    check,
    plan,
    nest,
    quote,
    layers,
    sheets,
    number,
    compare,
    process,
    measure,
    repair,
    orient,
    calibrate,
    warm,
    licences,
)
