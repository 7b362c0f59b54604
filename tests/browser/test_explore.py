"""The what-if page in a browser and on the wire: figures as on the command line, no leaks."""

import re
import threading
import time
from importlib.resources import files
from pathlib import Path

import pytest
import uvicorn
from starlette.testclient import TestClient

from sim.analysis.check import check_craft
from sim.analysis.what_if import Explorer
from sim.analysis.wind_limit import Effort
from sim.cli.explore_app import explore_app
from sim.report.answer_head import head_section
from sim.report.answer_lift import lift_section
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).parents[2]
KEY = "a-secret-of-this-test"
BREEZE = ROOT / "tests/demo/short_breeze.yaml"
LITTLE = Effort(flights=10, most_flights=10, step_m_s=4.0)


@pytest.fixture(scope="module")
def explorer():
    path = ROOT / "airframes/jellyfish_bicopter.yaml"
    return Explorer(path.read_bytes(), path.name, load_scenario(BREEZE))


@pytest.fixture
def client(explorer, tmp_path):
    app = explore_app(explorer, tmp_path, KEY)
    return TestClient(app, base_url="http://127.0.0.1:8000", headers={"x-key": KEY})


@pytest.fixture
def served(explorer, tmp_path):
    """Give the address of a running server."""
    config = uvicorn.Config(
        explore_app(explorer, tmp_path, KEY), port=0, log_level="error", lifespan="off"
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    port = server.servers[0].sockets[0].getsockname()[1]
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(10.0)


def texts(sections, key):
    return {
        row["label"]: row["text"]
        for section in sections
        if section["key"] == key
        for row in section["readings"]
    }


def test_moved_figures_are_those_of_check_on_the_saved_file(client, tmp_path):
    """To the printed digit: the same words from the file that the page saves."""
    moved = {"head_mass": 520.0, "drape_length": 70.0}
    shown = client.get("/figures", params=moved).json()
    saved = client.post("/save", json={"name": "moved.yaml", "moved": moved})
    assert saved.json() == {"saved": "moved.yaml"}
    result = check_craft(load_craft(tmp_path / "moved.yaml"), load_scenario(BREEZE), effort=LITTLE)
    for section in (lift_section(result), head_section(result)):
        wanted = {row.label: row.text for row in section.readings}
        assert texts(shown["sections"], section.key) == wanted
    phases = {bar["label"]: bar["text"] for bar in shown["bars"] if "phase" in bar["label"]}
    for axis in ("roll", "pitch", "yaw"):
        phase = result.stability.margins[axis].phase_rad
        assert phases[f"phase margin, {axis}"] == f"{phase.value * 57.29577951308232:.0f} deg"


def test_an_answer_comes_within_300_ms_of_work(client):
    """The best of a few, in processor time, so that other work on the machine does not count."""
    client.get("/figures", params={"head_up": 10.0})
    taken = []
    for mass in (430.0, 440.0, 460.0, 470.0):
        began = time.process_time()
        assert client.get("/figures", params={"head_mass": mass}).status_code == 200
        taken.append(time.process_time() - began)
    assert min(taken) < 0.3


def test_the_saved_file_keeps_what_the_builder_wrote_and_says_what_was_moved(client, tmp_path):
    client.post("/save", json={"name": "heavier.yaml", "moved": {"head_mass": 600.0}})
    text = (tmp_path / "heavier.yaml").read_text("utf-8")
    assert "value: 600 g" in text
    assert "moved on a page; before, 'mass' was 450 g" in text
    assert "# The papier-mache bell" in text
    assert [path.name for path in tmp_path.iterdir()] == ["heavier.yaml"]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("../out.yaml", "a name of letters"),
        ("/etc/craft.yaml", "a name of letters"),
        ("craft.txt", "a name of letters"),
        ("", "a name of letters"),
        (".hidden.yaml", "a name of letters"),
    ],
)
def test_names_that_lead_elsewhere_are_refused(client, tmp_path, name, words):
    answer = client.post("/save", json={"name": name, "moved": {}})
    assert answer.status_code == 422
    assert words in answer.json()["fault"]
    assert not list(tmp_path.iterdir())


def test_a_file_is_never_replaced(client, tmp_path):
    (tmp_path / "mine.yaml").write_text("mine")
    answer = client.post("/save", json={"name": "mine.yaml", "moved": {}})
    assert answer.status_code == 422
    assert (tmp_path / "mine.yaml").read_text() == "mine"


@pytest.mark.parametrize(
    "values",
    [
        {"head_mass": "nan"},
        {"head_mass": "inf"},
        {"head_mass": "-5"},
        {"head_mass": "1e9"},
        {"head_mass": "heavy"},
        {"unknown": "1"},
    ],
)
def test_values_outside_of_a_slider_are_refused(client, values):
    assert client.get("/figures", params=values).status_code == 422


def test_without_the_key_nothing_is_given(client, tmp_path):
    for answer in (
        client.get("/figures", headers={"x-key": "guess"}),
        client.post("/save", json={"name": "a.yaml", "moved": {}}, headers={"x-key": ""}),
        client.get("/", params={"key": "guess"}),
    ):
        assert answer.status_code == 403
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("host", ["evil.example", "192.168.0.7", "127.0.0.1.evil.example"])
def test_another_host_name_is_refused(client, host):
    """A name that is made to lead here does not help (DNS rebinding)."""
    answer = client.get("/", params={"key": KEY}, headers={"host": host})
    assert answer.status_code == 400


def test_sliders_change_the_figures_in_a_browser(browser, served):
    context = browser.new_context()
    page = context.new_page()
    told = []
    page.on("console", lambda message: told.append(message.text) if message.type == "error" else 0)
    page.on("pageerror", lambda error: told.append(str(error)))
    page.goto(f"{served}/?key={KEY}")
    page.wait_for_selector("tr[data-label='mass of the head']", timeout=30_000)
    cell = page.locator("tr[data-label='mass of the head'] td.value")
    assert cell.inner_text() == "0.45 kg"
    slider = page.locator("input[name=head_mass]")
    slider.focus()
    slider.press("PageUp")
    for _ in range(200):
        if cell.inner_text() == "0.50 kg":
            break
        page.wait_for_timeout(50)
    assert cell.inner_text() == "0.50 kg"
    assert re.match(r"Computed in \d", page.locator("#state").inner_text())
    assert page.locator("#bars .bar").count() >= 4
    assert told == []
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_on_a_phone_the_page_fits_and_has_no_accessibility_fault(browser, served, scheme):
    context = browser.new_context(viewport={"width": 390, "height": 844}, color_scheme=scheme)
    page = context.new_page()
    page.goto(f"{served}/?key={KEY}")
    page.wait_for_selector("tr[data-label='mass of the head']", timeout=30_000)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.evaluate(files("axe_playwright_python").joinpath("axe.min.js").read_text("utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")["violations"]
    assert [one["id"] for one in found if one["impact"] in {"serious", "critical"}] == []
    context.close()
