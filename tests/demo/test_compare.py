"""Two jellyfish side by side: the same verdicts as two checks, and one sentence that decides."""

import json
import re
from pathlib import Path

import pytest

from sim.analysis.check import check_craft
from sim.analysis.compare import compare_crafts
from sim.analysis.wind_limit import Effort
from sim.cli.main import run
from sim.report.compare_data import compare_data, write_compare_files
from sim.report.compare_text import compare_text
from sim.report.terminal import make_console
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).parents[2]
BREEZE = Path(__file__).with_name("short_breeze.yaml")
# Few flights: what is compared here is the same flights twice.
FEW = Effort(flights=40, most_flights=15, step_m_s=1.0)
NAMES = ("jellyfish_bicopter", "jellyfish_tricopter", "jellyfish_too_heavy")


@pytest.fixture(scope="module")
def loaded():
    return [load_craft(ROOT / f"airframes/{name}.yaml") for name in NAMES], load_scenario(BREEZE)


@pytest.fixture(scope="module")
def comparison(loaded):
    return compare_crafts(*loaded, flights=6, effort=FEW)


def test_the_verdicts_are_those_of_separate_checks(comparison, loaded):
    """Both jellyfish and the one that cannot lift."""
    crafts, scenario = loaded
    for craft, result in zip(crafts, comparison.results, strict=True):
        alone = check_craft(craft, scenario, effort=FEW)
        assert (result.verdict, result.passes) == (alone.verdict, alone.passes)
        assert result.wind == alone.wind


def test_one_that_cannot_lift_is_not_flown(comparison):
    assert comparison.pairs[0] is not None
    assert comparison.pairs[1] is None
    assert comparison.best in {0, 1}


def test_the_sentence_names_who_is_ahead(comparison):
    assert comparison.results[comparison.best].craft.spec.name in comparison.decides


def test_text_page_and_data_tell_the_same(comparison, tmp_path, capsys):
    import sys  # noqa: PLC0415

    text = compare_text(comparison, make_console(sys.stdout))
    assert all(len(line) <= 80 for line in text.splitlines())
    page, data = write_compare_files(comparison, tmp_path / "out")
    told = json.loads(data.read_text("utf-8"))
    assert told["decides"] == comparison.decides
    flat = re.sub(r"\s+", " ", text)
    assert comparison.decides in flat
    assert comparison.decides.rstrip(".") in page.read_text("utf-8")
    assert told == json.loads(json.dumps(compare_data(comparison)))
    capsys.readouterr()


@pytest.mark.parametrize(
    ("files", "words"),
    [
        (["one"], "compare takes 2 to 6"),
        (["one"] * 7, "compare takes 2 to 6"),
        (["one", "missing"], "missing.yaml"),
        (["one", "bad"], "bad.yaml"),
        (["bad", "missing"], "missing.yaml"),
    ],
)
def test_what_cannot_be_compared_is_refused(tmp_path, capsys, files, words):
    (tmp_path / "bad.yaml").write_text("name: [\n")
    paths = {"one": ROOT / "airframes/bare_bicopter.yaml"}
    arguments = [str(paths.get(name, tmp_path / f"{name}.yaml")) for name in files]
    assert run(["compare", *arguments, "--out", str(tmp_path / "out")]) == 2
    assert words in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
