"""How long a proof takes beside drawing each elevation once, whole, at the same fineness.

Run: python tests/bench/bench_prove.py BUILD-FOLDER ...
"""

from __future__ import annotations

import resource
import sys
import time
from pathlib import Path

import resvg_py

from livery.prove.compare import PITCH_MM
from livery.prove.proof import prove_folder
from livery.prove.record import read_record


def main(folders: list[str]) -> None:
    for folder in map(Path, folders):
        start = time.process_time()
        for panel in read_record(folder).panels:
            svg = (folder / panel.elevation.file).read_text(encoding="utf-8")
            resvg_py.svg_to_bytes(svg_string=svg, dpi=25.4 / PITCH_MM, skip_system_fonts=True)
        once = time.process_time() - start
        start = time.process_time()
        proof = prove_folder(folder)
        took = time.process_time() - start
        held = "holds" if proof.holds else "does not hold"
        ratio = f"{took / once:.1f} times" if once > 0.01 else "nothing to draw beside"
        print(f"{folder.name}: {held}, {took:.1f} s, {ratio} one drawing of its elevations")
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory {most:.0f} MB, the whole drawings included")


if __name__ == "__main__":
    main(sys.argv[1:])
