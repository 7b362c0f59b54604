"""Print the table of the jellyfish with and without its skirt, dry and wet, bell light and heavy.

Every row is a whole check of the shipped craft with that one thing changed; nothing is copied from
elsewhere. `python benchmarks/fabric_table.py` prints a table in Markdown and says on the way what
it is at; `--craft`, `--scenario` and `--bells` take others.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from sim.analysis.check import check_craft  # noqa: E402
from sim.analysis.check_result import CheckResult  # noqa: E402
from sim.analysis.head import with_head_mass  # noqa: E402
from sim.report.answer_upright import gain_margins_db, phase_margin_rad  # noqa: E402
from sim.report.number_text import degrees, digits, fixed  # noqa: E402
from sim.spec import CraftSpec, load_craft, load_scenario  # noqa: E402
from sim.spec.units import parse_quantity  # noqa: E402
from sim.spec.variants import with_fabric_wet, without_fabric  # noqa: E402

COLUMNS = (
    "bell",
    "skirt",
    "mass, kg",
    "pivots above CG, cm",
    "smallest gain margin, dB",
    "phase margin, deg",
    "wind limit, m/s",
    "verdict",
)
BELLS = ("250 g", "450 g", "650 g")


class Variant(NamedTuple):
    """One row: what bell, what skirt, and the craft that has them."""

    bell: str
    skirt: str
    craft: CraftSpec


def variants(craft: CraftSpec, bells: list[str]) -> Iterator[Variant]:
    """Give every bell with no skirt, a dry one and a wet one."""
    for bell in bells:
        headed = with_head_mass(craft, parse_quantity(bell, "mass"))
        yield Variant(bell, "none", without_fabric(headed))
        yield Variant(bell, "dry", with_fabric_wet(headed, wet=False))
        yield Variant(bell, "wet", with_fabric_wet(headed, wet=True))


def margins(result: CheckResult) -> tuple[str, str]:
    """Give the smallest gain margin, either way, and phase margin of the attitude loops."""
    stability = result.stability
    if not stability.stable:
        return "unstable" if stability.has_trim else "no steady hover", "-"
    loops = {axis: stability.margins[axis] for axis in ("roll", "pitch", "yaw")}
    gain = min((min(map(abs, gain_margins_db(loop))), axis) for axis, loop in loops.items())
    phase = min((phase_margin_rad(loop), axis) for axis, loop in loops.items())
    return f"{fixed(gain[0], 1)} ({gain[1]})", f"{degrees(phase[0])} ({phase[1]})"


def wind(result: CheckResult) -> str:
    """Give the highest mean wind at the scenario's height with enough good flights."""
    if result.wind is None:
        return "-"
    limit = result.wind.limit_forecast_m_s
    return "below the lowest tried" if limit is None else digits(limit, 2)


def row(variant: Variant, result: CheckResult) -> tuple[str, ...]:
    """Give the cells of a row."""
    return (
        variant.bell,
        variant.skirt,
        fixed(result.mass.mass_kg, 2),
        fixed(100.0 * result.head.rotors_above_centre_m, 1),
        *margins(result),
        wind(result),
        "passes" if result.passes else "does not pass",
    )


def markdown(rows: list[tuple[str, ...]]) -> str:
    """Give the table as text."""
    lines = [COLUMNS, tuple("---" for _ in COLUMNS), *rows]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in lines)


def main() -> None:
    """Check every variant and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    folder = ROOT / "airframes"
    parser.add_argument("--craft", type=Path, default=folder / "jellyfish_bicopter.yaml")
    parser.add_argument("--scenario", type=Path, default=ROOT / "scenarios" / "lake_breeze.yaml")
    parser.add_argument("--bells", nargs="+", default=list(BELLS), metavar="MASS")
    given = parser.parse_args()
    craft, scenario = load_craft(given.craft), load_scenario(given.scenario)
    rows: list[tuple[str, ...]] = []
    for variant in variants(craft.spec, given.bells):
        result = check_craft(replace(craft, spec=variant.craft), scenario)
        rows.append(row(variant, result))
        print(f"bell {variant.bell}, skirt {variant.skirt}: {result.verdict}", file=sys.stderr)
    print(markdown(rows))


if __name__ == "__main__":
    main()
