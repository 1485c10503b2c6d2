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
from typing import Annotated, Any, Literal

from cyclopts import App, CycloptsError, Parameter

from app.cli_shapes import calibrate, orient, repair
from app.settings import start_log
from corelib import __version__
from corelib.errors import Cancelled, ChildError, CorestowError
from corelib.progress import Progress
from corelib.wording import error_sentence

OK, HAS_STOP, BAD_INPUT, OWN_FAULT, CANCELLED = 0, 1, 2, 3, 130

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
        _say(error_sentence(Cancelled()))
        return CANCELLED
    except BrokenPipeError:
        return OK
    except Cancelled as error:
        _say(error_sentence(error))
        return CANCELLED
    except ChildError as error:
        log = start_log()
        logging.error("%s %s", error.code, error.facts)
        _say(f"{error_sentence(error)} Log: {log}")
        return OWN_FAULT
    except CorestowError as error:
        _say(error_sentence(error))
        return BAD_INPUT
    except Exception as error:
        log = start_log()
        logging.exception("a fault of our own")
        sentence = error_sentence(ChildError("work.failed", reason=f"{type(error).__name__}: {error}"))
        _say(f"{sentence} Log: {log}")
        return OWN_FAULT


def _command(arguments: Sequence[str], open_window: OpenWindow) -> int:
    if not arguments:
        return open_window(None)
    try:
        status = make_app(open_window)(list(arguments), exit_on_error=False, print_error=False)
    except CycloptsError as error:
        text = " ".join(str(error).split())
        _say(f"{text} See: corestow --help")
        return BAD_INPUT
    return status if isinstance(status, int) else OK


def _say(sentence: str) -> None:
    print(sentence, file=sys.stderr)


def _progress(step_names: Callable[[str], str] = str) -> Progress:
    """Return a progress that shows one line on a terminal, and nothing where standard error is a file."""
    if not sys.stderr.isatty():
        return Progress()

    def report(share: float, step: str, _facts: dict[str, Any]) -> bool:
        end = "\n" if share >= 1.0 else ""
        print(f"\r\x1b[K{share:4.0%} {step_names(step)}", end=end, file=sys.stderr, flush=True)
        return False

    return Progress(report)


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
    from corelib.usecases.checking import check_files

    report = check_files(files, unit=unit, process=process, progress=_progress())
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
    from corelib.usecases.plans import plan_to_folder, summary_lines

    result = plan_to_folder(job, out, progress=_progress())
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
    scheduler: str | None = None,
) -> int:
    """Search a packing for a job: heights, fill, bounds, how it is unpacked.

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
    scheduler
        Address of a dask scheduler that does the work.
    """
    from corelib.usecases.nesting import nest_job

    shown = _progress()
    result = nest_job(job, seconds=seconds, seed=seed, write=write, scheduler=scheduler, progress=shown)
    print("\n".join(result.lines))
    return HAS_STOP if result.has_stop else OK


def quote(
    job: Path,
    *,
    sets: str,
    out: Path | None = None,
    language: Literal["en", "de"] = "en",
    paper: Literal["A4", "Letter"] = "A4",
) -> int:
    """Quote a job for several quantities of its casting sets: customer's quotation and internal cost sheet.

    Parameters
    ----------
    job
        The job file.
    sets
        Quantities of sets, as 1,10,50; each is packed into boxes anew.
    out
        Folder for the files; JOB.quote beside the job if not said.
    language
        Language of the sheets.
    paper
        Size of the printed sheets.
    """
    from app.settings import load_letterhead
    from corelib.usecases.quoting import Letterhead, quotation_lines, quote_to_folder

    result = quote_to_folder(
        job,
        sets,
        out,
        language=language,
        paper=paper,
        letterhead=Letterhead(*load_letterhead()),
        progress=_progress(),
        shown=_say,
    )
    print("\n".join(quotation_lines(result.cost_sheet)))
    print(f"\nFiles: {result.folder} (customer/ goes out, internal/ stays)")
    return HAS_STOP if result.has_stop else OK


def compare(
    *plans: Path,
    out: Path | None = None,
    language: Literal["en", "de"] = "en",
    paper: Literal["A4", "Letter"] = "A4",
) -> int:
    """Lay two to six plans side by side: key figures with differences, and what each is better at.

    Parameters
    ----------
    plans
        Plan files (plan.json), or the folders that hold them.
    out
        File to write the comparison to as PDF.
    language
        Language of the text and the sheet.
    paper
        Size of the printed sheet.
    """
    from app.settings import load_letterhead
    from corelib.usecases.comparing import Letterhead, compare_files, comparison_lines, write_comparison

    comparison = compare_files(plans)
    if out is not None:
        letterhead = Letterhead(*load_letterhead())
        write_comparison(comparison, out, language=language, paper=paper, letterhead=letterhead)
    print("\n".join(comparison_lines(comparison, language)))
    return OK


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
        lines = sensitivity_of(what, replaced, profiles=profiles, language=language, progress=_progress())
        print("\n".join(lines))
        return OK
    sheet = process_of(what, replaced, profiles=profiles, language=language, progress=_progress())
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
    from corelib.usecases.imaging import ImagesAsked, layers_to_folder

    asked = ImagesAsked(
        image_format=image_format,
        dead_nozzles=tuple(_whole_numbers("--dead", dead)),
        critical_cores=frozenset(critical.split(",")) if critical else frozenset(),
        spared_job=spare,
    )
    result = layers_to_folder(job, out, asked, progress=_progress())
    print("\n".join(result.lines))
    print(f"\nFiles: {result.folder}")
    return HAS_STOP if result.has_stop else OK


def _whole_numbers(option: str, text: str | None) -> list[int]:
    from corelib.errors import InputError

    try:
        return [int(part) for part in text.split(",")] if text else []
    except ValueError as error:
        raise InputError(
            "job.value_form", where=option, field=option, value=text, form="12,13,400"
        ) from error


def sheets(
    what: Path,
    *,
    out: Path | None = None,
    only: str | None = None,
    paper: Literal["A4", "Letter"] = "A4",
    language: Literal["en", "de"] = "en",
    layer: str | None = None,
) -> int:
    """Write plan sheet, labels, workbook, tables, models and layers of a job or a plan.

    Parameters
    ----------
    what
        A job file (planned now), or a plan.json or its folder (shown as it stands).
    out
        Folder for the files; JOB.sheets beside the file if not said.
    only
        Sheets to write, as plan-sheet,labels; all if not said.
    paper
        Size of printed sheets.
    language
        Language of the sheets.
    layer
        Layers to draw as SVG, as 0,120,400; the one with the largest area if not said.
    """
    from app.settings import load_letterhead
    from corelib.usecases.sheets import Letterhead, SheetsAsked, write_sheets

    asked = SheetsAsked(
        only=tuple(part.strip() for part in only.split(",") if part.strip()) if only else (),
        paper=paper,
        language=language,
        layers=tuple(_whole_numbers("--layer", layer)),
        letterhead=Letterhead(*load_letterhead()),
    )
    result = write_sheets(what, out, asked, progress=_progress())
    print("\n".join(result.files))
    print(f"\nFiles: {result.folder}")
    return OK


def number(
    mesh: Path,
    signs: str,
    *,
    at: str,
    normal: str,
    out: Path,
    height: float = 10.0,
    depth: float = 1.0,
    unit: str | None = None,
) -> int:
    """Sink a number into a flat face of a core, as on a core print, and write the core as a new mesh.

    Parameters
    ----------
    mesh
        The core's mesh file; it stays as it is.
    signs
        The number: 0 to 9 and -, at most 12 signs.
    at
        Middle of the number, a point on the face, as X,Y,Z in mm.
    normal
        Direction out of the face, as X,Y,Z.
    out
        The new mesh file (.stl, mm).
    height
        Height of the signs in mm; a stroke is a fifth of it wide.
    depth
        How deep the number is sunk, in mm.
    unit
        Length unit of a mesh whose format has none.
    """
    from corelib.usecases.numbering import NumberFace, number_file

    face = NumberFace(_three("--at", at), _three("--normal", normal), height, depth)
    made = number_file(mesh, out, signs, face, unit=unit)
    print(f"{out}: {len(made.faces)} triangles")
    return OK


def _three(option: str, text: str) -> tuple[float, float, float]:
    from corelib.errors import InputError

    try:
        x, y, z = (float(part) for part in text.split(","))
    except ValueError as error:
        raise InputError("job.value_form", where=option, field=option, value=text, form="X,Y,Z") from error
    return x, y, z


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
