"""A job's cores on a lattice of the overlap search: their shapes, and the depth tables between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from corelib.geometry.pose import Array, Orientation, moved, rigid
from corelib.geometry.voxels import VoxelBody, cells_in_grid, turned, voxels
from corelib.nesting.clearance import Body
from corelib.nesting.depths import INVERSE, PRODUCT, TURNS, UNTURNED, DepthTables, Mould, Stance
from corelib.nesting.lattice import Lattice
from corelib.nesting.model import NestItem, NestRules
from corelib.progress import SILENT, Progress

FINENESS, MORE_FINENESS = 2, 4
EDGE_CELLS = 18.0  # coarse lattice steps along a core's mean edge
COARSE_BYTES, FINE_BYTES = 130_000_000, 450_000_000  # of all depth tables on the lattices, at most
WIDEST = 1.5  # how much wider the steps may be than wanted, to suit the cores' sizes
HARDLY_FINER = 0.8
WASTE_OF_PITCH = 0.04  # what slanted faces lose, as a share, for steps as wide as wanted
STRETCH = 1e-8


@dataclass(frozen=True)
class Attitude:
    """Orientations of a core that are right-angled turns of each other: the first one and the turns."""

    first: Orientation
    members: tuple[tuple[Orientation, int], ...]


def attitudes_of(orientations: Sequence[Orientation]) -> tuple[Attitude, ...]:
    """Return the orientations sorted by attitude, each with its right-angled turn from the first."""
    found: list[tuple[Array, Orientation, list[tuple[Orientation, int]]]] = []
    for orientation in orientations:
        rotation = orientation.rotation
        for base, _, members in found:
            turn = rotation @ base.T
            if np.abs(turn - turn.round()).max() < 1e-9:
                number = int(np.flatnonzero((turn.round().astype(np.int64) == TURNS).all(axis=(1, 2)))[0])
                members.append((orientation, number))
                break
        else:
            found.append((rotation, orientation, [(orientation, UNTURNED)]))
    return tuple(Attitude(first, tuple(members)) for _, first, members in found)


@dataclass(frozen=True, eq=False)
class Form:
    """One core type in one orientation on the lattice."""

    kind: int
    orientation: Orientation
    stance: Stance
    low_mm: Array
    """Lowest corner of the turned mesh about the core file's origin."""
    size_mm: Array
    pad_mm: Array
    """From the lattice point to the lowest corner of the mesh."""


class Forms:
    """All forms of a job and what lies fixed in one box; `starts`, `counts` are each kind's forms.

    Forms from `first_fixed` on are the fixed bodies of the box, which lie at `fixed_rows`.
    """

    def __init__(
        self,
        items: Sequence[NestItem],
        rules: NestRules,
        lattice: Lattice,
        fixed: Sequence[Body],
        origin_mm: Array,
        progress: Progress = SILENT,
    ) -> None:
        self.items, self.lattice, self.origin_mm = items, lattice, origin_mm
        moulds: list[Mould] = []
        self.forms: list[Form] = []
        self.known: dict[tuple[int, Orientation], int] = {}
        starts, counts = [], []
        for kind, item in enumerate(items):
            progress(0.0, "nest")
            starts.append(len(self.forms))
            if not item.is_zone:
                self._add_kind(kind, item, rules, moulds)
            counts.append(len(self.forms) - starts[-1])
        self.starts, self.counts = np.array(starts, dtype=np.int64), np.array(counts, dtype=np.int64)
        self.first_fixed = len(self.forms)
        self.fixed_rows = np.array(
            [self._add_fixed(body, rules, moulds) for body in fixed], dtype=np.int64
        ).reshape(-1, 4)
        stances = [form.stance for form in self.forms]
        self.tables = DepthTables(
            moulds, stances, lattice.cell_mm, lattice.fineness, rules.is_ordered, progress
        )
        self.tops_mm = np.array([form.pad_mm[2] + form.size_mm[2] for form in self.forms])

    def _add_kind(self, kind: int, item: NestItem, rules: NestRules, moulds: list[Mould]) -> None:
        mesh, lattice = item.mesh, self.lattice
        used = mesh.vertices_mm[np.unique(mesh.faces)]
        for attitude in attitudes_of(item.orientations):
            base = attitude.first.rotation
            body = voxels(mesh.vertices_mm @ base.T, mesh.faces, lattice.cell_mm, lattice.fineness)
            mould = Mould(body, item.gap_mm)
            moulds.append(mould)
            own: dict[int, int] = {}
            for orientation, turn in attitude.members:
                alike = int(mould.alike[turn])
                if alike not in own:
                    own[alike] = len(self.forms)
                    placed = turned(body, TURNS[turn].astype(float))
                    ends = used @ orientation.rotation.T
                    stance = _stance(len(moulds) - 1, turn, placed, item, rules)
                    size_mm = np.array(placed.size_mm)
                    self.forms.append(
                        Form(kind, orientation, stance, ends.min(axis=0), size_mm, placed.pad_mm)
                    )
                self.known[kind, orientation] = own[alike]

    def _add_fixed(self, body: Body, rules: NestRules, moulds: list[Mould]) -> tuple[int, int, int, int]:
        """Add a body that stays where it is, cut into the box's own cells; return its row."""
        lattice, item = self.lattice, body.item
        place = np.floor((body.low_mm - self.origin_mm) / lattice.pitch_mm + 1e-9).astype(np.int64)
        low_mm = self.origin_mm + place * lattice.pitch_mm
        steps = np.ceil((body.high_mm - low_mm) / lattice.pitch_mm - 1e-9).astype(int).clip(min=1)
        x, y, z = (int(step) * lattice.fineness for step in steps)
        points = moved(item.mesh.vertices_mm, body.matrix)
        cells = cells_in_grid(points, item.mesh.faces, low_mm, lattice.cell_mm, (x, y, z))
        size_mm = (x * lattice.cell_mm, y * lattice.cell_mm, z * lattice.cell_mm)
        voxel = VoxelBody(cells, lattice.cell_mm, size_mm)
        moulds.append(Mould(voxel, item.gap_mm, item.is_zone, is_fixed=True))
        stance = _stance(len(moulds) - 1, UNTURNED, voxel, item, rules)
        self.forms.append(
            Form(-1, body.placement.orientation, stance, low_mm, np.array(size_mm), np.zeros(3))
        )
        return len(self.forms) - 1, int(place[0]), int(place[1]), int(place[2])

    def rooms(self, room_mm: Array) -> NDArray[np.int64]:
        """Return for each form how many places it has along x, y and z in a room of this size."""
        pads = np.array([form.pad_mm for form in self.forms])
        sizes = np.array([form.size_mm for form in self.forms])
        steps = (room_mm - pads - sizes) / self.lattice.pitch_mm
        places = np.floor(steps * (1.0 + 2.0 * self.lattice.stretch) + 1e-9).astype(np.int64) + 1
        places[self.first_fixed :] = 0
        return places.clip(min=0)

    def row_of(self, kind: int, orientation: Orientation, matrix: Array) -> tuple[int, int, int, int]:
        """Return the row nearest to a placement of a core."""
        number = self.known[kind, orientation]
        form = self.forms[number]
        mesh = self.items[kind].mesh
        ends = mesh.vertices_mm[np.unique(mesh.faces)] @ matrix[:3, :3].T + matrix[:3, 3]
        x, y, z = (
            ((ends.min(axis=0) - form.pad_mm - self.origin_mm) / self.lattice.pitch_mm).round().astype(int)
        )
        return number, max(0, int(x)), max(0, int(y)), max(0, int(z))

    def matrix(self, row: NDArray[np.int64]) -> Array:
        """Return the placement that a row stands for."""
        form = self.forms[row[0]]
        low_mm = self.origin_mm + row[1:] * self.lattice.pitch_mm + form.pad_mm
        return rigid(form.orientation.rotation, low_mm - form.low_mm)


def _stance(mould: int, turn: int, body: VoxelBody, item: NestItem, rules: NestRules) -> Stance:
    """Return a body's stance: where sand must stand to bed it and where it comes free, in cells."""
    pad, size = body.pad_mm[2] / body.pitch_mm, body.size_mm[2] / body.pitch_mm
    sunk = int(pad + 1e-9)
    bed = int(np.ceil(pad - sunk + size * rules.bedded_share - 1e-9))
    free = max(bed, int(pad - sunk + size * rules.freed_share + 1e-9))
    if item.is_zone:
        return Stance(mould, turn, -(10**6), 10**6, sunk)
    return Stance(mould, turn, -(10**6) if item.held_by_hand else bed, free, sunk, item.is_fragile)


def search_lattices(items: Sequence[NestItem], room_mm: Array) -> tuple[Lattice, ...]:
    """Return the search's lattices: one whose tables are soon made, then better ones to tighten a packing.

    The second cuts bodies into finer cells at about the same steps: they lose less to the cells that enclose
    them. The third has about half the steps, as far as the memory for tables allows.
    """
    packed = [item for item in items if item.copies and not item.is_zone]
    sizes_mm, counts = table_sizes(packed)
    wanted_mm = float(np.mean([item.mesh.size_mm.mean() for item in packed])) / EDGE_CELLS
    least_mm = _affordable(sizes_mm, counts, wanted_mm, COARSE_BYTES)
    first = _suited(packed, room_mm, least_mm, FINENESS)
    second = _suited(packed, room_mm, least_mm, MORE_FINENESS)
    half_mm = second.pitch_mm / 2
    if min(item.gap_mm for item in packed) > 0.0:  # what the steps cost is won back out of the gap
        return first, second
    least_mm = _affordable(sizes_mm, counts, half_mm, FINE_BYTES)
    if least_mm == half_mm:
        return first, second, Lattice(half_mm, MORE_FINENESS, second.stretch)
    third = _suited(packed, room_mm, least_mm, MORE_FINENESS)
    return (first, second, third) if third.pitch_mm < HARDLY_FINER * second.pitch_mm else (first, second)


def table_sizes(items: Sequence[NestItem]) -> tuple[Array, Array]:
    """Return the extents (n, 3) of the depth tables of these cores in mm, and how many there are of each."""
    kinds = [attitudes_of(item.orientations) for item in items]
    turns = [np.unique([turn for attitude in kind for _, turn in attitude.members]) for kind in kinds]
    sizes, counts = [], []
    for a, one in enumerate(items):
        for b in range(a, len(items)):
            for turn in np.unique(PRODUCT[np.ix_(INVERSE[turns[b]], turns[a])]):
                gap_mm = max(one.gap_mm, items[b].gap_mm)
                sizes.append(np.abs(TURNS[turn]) @ one.mesh.size_mm + items[b].mesh.size_mm + 2 * gap_mm)
                counts.append(len(kinds[a]) * len(kinds[b]))
    return np.array(sizes), np.array(counts, dtype=float)


def _affordable(sizes_mm: Array, counts: Array, pitch_mm: float, most_bytes: int) -> float:
    """Return the step, or the least larger one whose tables keep to so many bytes."""
    while float((np.prod(sizes_mm / pitch_mm + 2, axis=1) * counts).sum()) > most_bytes:
        pitch_mm *= 1.05
    return pitch_mm


def _suited(items: Sequence[NestItem], room_mm: Array, least_mm: float, fineness: int) -> Lattice:
    """Return the lattice, of steps from `least_mm` on, that rounds the sizes with gaps and the box least."""
    sizes = np.array([item.mesh.size_mm for item in items])
    gaps = np.array([[item.gap_mm] for item in items])
    divisors = np.arange(1, int((sizes + gaps).max() * fineness / least_mm) + 2)
    tried = fineness * np.unique((sizes + gaps).round(6))[:, None] / divisors
    most_mm = least_mm * WIDEST
    pitches = np.unique(np.append(tried[(tried >= least_mm) & (tried <= most_mm)], [least_mm, most_mm]))
    wastes = []
    for pitch in pitches:
        cell = pitch / fineness
        up = np.ceil(sizes / cell - 1e-6) * cell - sizes + np.ceil(gaps / cell - 1e-6) * cell - gaps
        wide = room_mm[:2] + gaps.max() - np.floor((room_mm[:2] + gaps.max()) / pitch + 1e-6) * pitch
        waste = (up / (sizes + gaps)).mean() + (wide / room_mm[:2]).mean()
        wastes.append((float(waste) + WASTE_OF_PITCH * pitch / least_mm, float(pitch)))
    # at gap 0 a trifle wider, so that bodies on the lattice stand a trifle apart and touch nowhere
    stretch = STRETCH if gaps.min() == 0.0 else 0.0
    return Lattice(min(wastes)[1] * (1.0 + stretch), fineness, stretch)
