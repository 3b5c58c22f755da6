"""One panel proved: made from the written files and held against its elevation."""

from __future__ import annotations

from dataclasses import dataclass

from livery.findings import Finding, LiveryError
from livery.prove.colours import Codes, Colours, colours_of
from livery.prove.compare import Difference, differences, pitch_for
from livery.prove.contour import SAME_MM, BoundingBox
from livery.prove.elevation import Elevation, read_elevation
from livery.prove.files import Files
from livery.prove.follow import Follower, follower
from livery.prove.raster import Window
from livery.prove.record import Record, RecordedPanel
from livery.prove.svg_file import SvgFile, path_size


@dataclass(frozen=True)
class Compared:
    """A panel in both ways, as made and as meant, to sample wherever one likes."""

    size: BoundingBox
    follower: Follower
    elevation: Elevation
    colours: Colours

    @property
    def pitch_mm(self) -> float:
        """How far apart the two are sampled: closer where lines are fine."""
        return pitch_for(self.follower.narrowest_mm)

    def sampled(self, window: Window) -> tuple[Codes, Codes]:
        """Return a window as made and as meant."""
        return self.follower.codes(window), self.elevation.codes(window, self.colours)


@dataclass(frozen=True)
class PanelProof:
    """The result for one panel; ``compared`` is None if it has no elevation to compare with."""

    panel: RecordedPanel
    differences: tuple[Difference, ...]
    findings: tuple[Finding, ...]
    compared: Compared | None

    @property
    def name(self) -> str:
        """The panel's name."""
        return self.panel.name

    @property
    def holds(self) -> bool:
        """Whether what is written makes what is shown."""
        return not self.findings

    def differences_as_data(self) -> list[dict[str, object]]:
        """Return the differences as plain data for JSON."""
        if self.compared is None:
            return []
        names = self.compared.colours.names
        return [
            {
                "where_mm": list(one.where),
                "box_mm": [round(v, 2) for v in one.box],
                "area_mm2": round(one.area_mm2, 3),
                "made": names[one.made],
                "meant": names[one.meant],
            }
            for one in self.differences
        ]


def prove_panel(read: Files, record: Record, panel: RecordedPanel) -> PanelProof:
    """Make a panel from the files and compare it."""
    files = {name: _drawing(read, name) for name in panel_files(panel)}
    paints = {n: p.hex for n, p in record.paints.items() if p.kind != "clear"}
    clear = frozenset(n for n, p in record.paints.items() if p.kind == "clear")
    file = read.folder / panel.elevation.file
    found = list(_miscoloured(record, panel))
    if not file.is_file():
        found.append(_fault(panel, f"{file.name} is missing"))
        return PanelProof(panel, (), tuple(found), None)
    picture = read_elevation(file, panel.elevation.transform)
    colours = colours_of(
        paints, (*picture.fills, *(s.hex for s in panel.steps if s.paint not in clear))
    )
    made, lost = follower(panel, files, colours, clear)
    found += lost
    compared = Compared(path_size(panel.outline), made, picture, colours)
    found += _missized(panel, compared.size, files.get(panel.elevation.file))
    unlike = differences(compared.size, compared.sampled, made.sheet, compared.pitch_mm)
    found += (difference_finding(panel, one, colours) for one in unlike)
    return PanelProof(panel, unlike, tuple(found), compared)


def panel_files(panel: RecordedPanel) -> tuple[str, ...]:
    """Return the names of all the drawings a panel is made from, and of its elevation."""
    places = [place for step in panel.steps for place in step.places]
    return tuple(dict.fromkeys(place.file for place in (panel.elevation, *places)))


def _drawing(files: Files, name: str) -> SvgFile | None:
    """Return a drawing, None where it is missing or cannot be read, which is reported of the file."""
    if not files.has(name):
        return None
    try:
        return files.svg(name)
    except LiveryError:
        return None


def difference_finding(panel: RecordedPanel, one: Difference, colours: Colours) -> Finding:
    """Return a difference in words."""
    made, meant = colours.names[one.made], colours.names[one.meant]
    x, y = one.where
    return Finding(
        "prove-difference",
        f"{panel.name}: {made} where the elevation shows {meant} at {x:.1f}, {y:.1f} mm, "
        f"over {one.box.width:.1f} x {one.box.height:.1f} mm",
        "build the job again; if it still differs, do not cut from these files",
        where_mm=one.where,
    )


def _miscoloured(record: Record, panel: RecordedPanel) -> list[Finding]:
    """Return steps that give a paint another colour than the record's own table."""
    found = []
    for step in panel.steps:
        paint = record.paints.get(step.paint)
        if paint is None or paint.hex != step.hex:
            table = "is not in the table of paints" if paint is None else f"is {paint.hex} there"
            words = f"step {step.step} calls {step.paint} {step.hex}, which {table}"
            found.append(_fault(panel, words))
    return found


def _missized(panel: RecordedPanel, size: BoundingBox, elevation: SvgFile | None) -> list[Finding]:
    """Return what shows the panel other than as wide and high as the record says it was built."""
    width, height = panel.size
    edge = elevation.layers.get("edge", []) if elevation else []
    boxes = [("the outline in the record", size)]
    boxes += [(panel.elevation.file, path.size) for path in edge if path.size is not None]
    return [
        _fault(
            panel, f"{name} is {box.width:.2f} x {box.height:.2f} mm, not {width:g} x {height:g}"
        )
        for name, box in boxes
        if _off(box, panel.size) > SAME_MM
    ]


def _fault(panel: RecordedPanel, words: str) -> Finding:
    return Finding("prove-record", f"{panel.name}: {words}", "build the job again")


def _off(box: BoundingBox, size: tuple[float, float]) -> float:
    return max(abs(box.width - size[0]), abs(box.height - size[1]))
