"""A study folder: what is missing, what is refused, what stands in it."""

from __future__ import annotations

import json

import numpy as np
import pyarrow.parquet as pq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.errors import InputFaults, SimError
from sim.flight.identity import StudyIdentity, study_identity
from sim.flight.plan import Part
from sim.flight.rows import COLUMNS, ROW_TYPE
from sim.flight.store import missing_parts, opened, part_size
from sim.spec import load_craft, load_scenario

ONE = StudyIdentity({"craft": {"mass": 1.0, "rotors": [1, 2]}, "seed": 3})


def rows_from(first, flights):
    rows = np.zeros(flights, dtype=ROW_TYPE)
    rows["flight"] = np.arange(first, first + flights)
    rows["time_s"] = 0.1 * rows["flight"]
    rows["least_clearance_m"] = np.nan
    return rows


@given(
    counts=st.lists(st.integers(1, 400), min_size=1, max_size=4),
    size=st.integers(1, 70),
)
def test_missing_parts_complete_every_flight_once(counts, size):
    """Studies asked for ever more flights: each flight once, each part within one cell."""
    there = []
    for flights in counts:
        there += list(missing_parts(sorted(there), flights, size))
        assert all(part.first // size == (part.end - 1) // size for part in there)
    flown = sorted(n for part in there for n in range(part.first, part.end))
    assert flown == list(range(max(counts)))


def test_what_is_written_is_read_bit_for_bit(tmp_path):
    rows = rows_from(10, 40)
    with opened(tmp_path, ONE, 50) as folder:
        folder.write("calm", Part(0, 10), rows_from(0, 10))
        folder.write("calm", Part(10, 40), rows)
        assert folder.read("calm", Part(10, 40)).tobytes() == rows.tobytes()
        assert list(folder.missing("calm", 70)) == [Part(50, 20)]
        some = np.concatenate(list(folder.cells("calm", 45, ["flight"])))
        assert some["flight"].tolist() == list(range(45))
        assert folder.parts("windy") == []


def test_any_reader_of_parquet_opens_the_rows(tmp_path):
    """Columns, units beside them, and the study they belong to."""
    with opened(tmp_path, ONE, 50) as folder:
        folder.write("calm", Part(0, 5), rows_from(0, 5))
    table = pq.read_table(tmp_path / "rows" / "calm")
    assert table.column("time_s").to_pylist() == pytest.approx([0.0, 0.1, 0.2, 0.3, 0.4])
    schema = pq.read_schema(tmp_path / "rows" / "calm" / "000000000-5.parquet")
    assert schema.metadata[b"gustworthy_study"].decode() == ONE.digest
    units = json.loads(schema.metadata[b"units"])
    assert units == {column.name: column.unit for column in COLUMNS}
    assert units["energy_j"] == "J"


def test_another_study_is_refused_and_told_apart(tmp_path):
    """The folder stays as it was; what differs is named with both values."""
    with opened(tmp_path, ONE, 50):
        pass
    before = (tmp_path / "study.json").read_bytes()
    other = StudyIdentity({"craft": {"mass": 1.5, "rotors": [1, 7]}, "seed": 3, "new": True})
    with pytest.raises(InputFaults) as refused, opened(tmp_path, other, 50):
        pass
    said = str(refused.value)
    assert "craft.mass: 1.0 there, 1.5 here" in said
    assert "craft.rotors[2]: 2 there, 7 here" in said
    assert "new: nothing there, true here" in said
    assert "seed" not in said
    assert (tmp_path / "study.json").read_bytes() == before


def test_folders_of_something_else_are_refused(tmp_path):
    (tmp_path / "letters.txt").write_text("dear")
    with pytest.raises(InputFaults, match=r"letters\.txt"), opened(tmp_path, ONE, 50):
        pass
    (tmp_path / "study.json").write_text("[1]")
    with pytest.raises(InputFaults, match="not a study"), opened(tmp_path, ONE, 50):
        pass
    (tmp_path / "study.json").write_text(
        json.dumps({"format_version": 99, "part_flights": 1, "digest": ""})
    )
    with pytest.raises(InputFaults, match="format 99"), opened(tmp_path, ONE, 50):
        pass


def test_one_process_at_a_time(tmp_path):
    """The lock is of the open file, so a second opening is refused even from the same process."""
    with (
        opened(tmp_path, ONE, 50),
        pytest.raises(InputFaults, match="another gustworthy"),
        opened(tmp_path, ONE, 50),
    ):
        pass
    with opened(tmp_path, ONE, 50):
        pass


def test_rows_of_another_study_are_not_read(tmp_path):
    with opened(tmp_path / "a", ONE, 50) as folder:
        folder.write("calm", Part(0, 5), rows_from(0, 5))
    other = StudyIdentity({"seed": 4})
    with opened(tmp_path / "b", other, 50) as folder:
        (tmp_path / "a" / "rows").rename(tmp_path / "b" / "rows")
        with pytest.raises(SimError, match="does not belong"):
            folder.read("calm", Part(0, 5))


def test_large_studies_have_some_hundred_files():
    assert part_size(10) == part_size(20_000) == 50
    assert part_size(20_001) == 100
    assert 200 <= 1_000_000 / part_size(1_000_000) <= 400


def test_identity_counts_what_rows_depend_on(repository):
    """Mass, seed, task and start count; names, the wind's speed and what is asked of it do not."""
    craft = load_craft(repository / "airframes" / "bare_bicopter.yaml").spec
    scenario = load_scenario(repository / "scenarios" / "lake_breeze.yaml").spec
    start = np.zeros(3)
    same = study_identity(craft, scenario, start)
    wind = scenario.wind.model_copy(update={"mean_m_s": 9.0, "from_rad": 0.1})
    limits = scenario.limits.model_copy(update={"success": 0.5})
    calm = scenario.model_copy(update={"wind": wind, "limits": limits, "flights": 7, "name": "x"})
    assert study_identity(craft, calm, start).digest == same.digest
    terrain = scenario.wind.model_copy(update={"terrain": "street"})
    drift = scenario.limits.model_copy(update={"drift_m": 1.0})
    for changed in (
        scenario.model_copy(update={"seed": 2}),
        scenario.model_copy(update={"wind": terrain}),
        scenario.model_copy(update={"limits": drift}),
    ):
        assert study_identity(craft, changed, start).digest != same.digest
    assert study_identity(craft, scenario, start + 1.0).digest != same.digest
    told = study_identity(craft, scenario, start).differences(
        study_identity(craft, scenario.model_copy(update={"seed": 2}), start).values
    )
    assert told == ["seed: 2 there, 1 here"]
    assert len(same.values["code"]) == 16
    assert {"numpy", "numba", "python", "machine"} <= same.values["versions"].keys()
