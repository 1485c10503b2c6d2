"""The command line: a command a use case. It imports neither Qt nor a 3D library.

Results go to standard output, progress and the one sentence of an error to standard error. Exit status:
0 well; 1 the plan has a stop; 2 input or usage; 3 a fault of our own (the log file is named); 130 cancelled.
"""

from __future__ import annotations

import json
import logging
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, CycloptsError, Parameter

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


def check(*files: Path, unit: str | None = None) -> int:
    """Print the findings on a job file, or on mesh files.

    Parameters
    ----------
    files
        A job file (.json), or mesh files.
    unit
        Length unit of meshes whose format has none.
    """
    from corelib.usecases.checking import check_files

    report = check_files(files, unit=unit, progress=_progress())
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


def compare(*plans: Path) -> int:
    """Lay two to six plans side by side: key figures with differences, and what each is better at.

    Parameters
    ----------
    plans
        Plan files (plan.json), or the folders that hold them.
    """
    from corelib.usecases.comparing import compare_files, comparison_lines

    print("\n".join(comparison_lines(compare_files(plans))))
    return OK


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


COMMANDS: tuple[Callable[..., int], ...] = (new, check, plan, compare, warm, licences)
