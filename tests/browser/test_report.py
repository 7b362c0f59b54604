"""The real reports of all demonstration crafts in a real browser: open, obey, print, hide nothing.

Accessibility is judged by axe-core (Deque, MPL 2.0), whose script comes with the test package
axe-playwright-python.
"""

import io
import json
import re
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sim.analysis.check import check_craft
from sim.analysis.wind_limit import Effort
from sim.report.files import write_files
from sim.report.replay.page import ShownFlight, replay_page
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).parents[2]
CRAFTS = sorted(path.stem for path in (ROOT / "airframes").glob("*.yaml"))
FLYING = "jellyfish_bicopter"
PHONE = {"width": 390, "height": 844}
MARKUP = "</script><script>document.title='caught'</script><img src=x onerror=alert(1)><b>moon</b>"
LARGEST_BYTES = 6_000_000
LITTLE = Effort(flights=30, most_flights=10, step_m_s=3.0)


@pytest.fixture(scope="session")
def results():
    """Give the result of any craft, each computed once."""
    known = {}

    def of(name):
        if name not in known:
            scenario = load_scenario(ROOT / "tests/demo/short_breeze.yaml")
            craft = load_craft(ROOT / f"airframes/{name}.yaml")
            known[name] = check_craft(craft, scenario, effort=LITTLE)
        return known[name]

    return of


@pytest.fixture(scope="session")
def written(results, tmp_path_factory):
    """Give the files of any craft's report."""
    known = {}

    def of(name):
        if name not in known:
            known[name] = write_files(results(name), tmp_path_factory.mktemp(name))
        return known[name]

    return of


@pytest.fixture(scope="session")
def axe():
    """Give the script of axe-core."""
    return files("axe_playwright_python").joinpath("axe.min.js").read_text("utf-8")


def ready(page):
    page.wait_for_selector("[data-replay-root][data-ready=yes]", timeout=30_000)


def faults(page, axe):
    """Give what axe-core finds serious or critical."""
    page.evaluate(axe)
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        (one["id"], one["impact"], [node["target"] for node in one["nodes"]][:3])
        for one in found["violations"]
        if one["impact"] in {"serious", "critical"}
    ]


def picture(page):
    shot = page.locator("[data-replay=canvas]").screenshot()
    return np.asarray(Image.open(io.BytesIO(shot)).convert("RGB")).astype(int)


@pytest.mark.parametrize("name", CRAFTS)
def test_a_report_opens_from_disk_draws_and_hides_nothing(visit, written, axe, name):
    """One visit a craft, on a phone in the dark: the hardest case for width and contrast."""
    path = written(name).page
    assert path.stat().st_size < LARGEST_BYTES
    seen = visit(path, viewport=PHONE, color_scheme="dark")
    page = seen.page
    ready(page)
    page.get_by_role("button", name="Unfold all details").click()
    assert page.locator("details:not([open])").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    for text in page.locator("h2").all_inner_texts():
        assert text.strip()
    page.locator("[data-replay=scrub]").scroll_into_view_if_needed()
    before = picture(page)
    assert before.std() > 5.0  # not one colour
    page.locator("[data-replay=scrub]").focus()
    page.keyboard.press("End")
    assert np.abs(picture(page) - before).max() > 30
    assert seen.told == []
    assert seen.fetched() == []
    assert faults(page, axe) == []


def test_a_report_in_the_light_has_no_accessibility_fault(visit, written, axe):
    page = visit(written(FLYING).page, color_scheme="light").page
    ready(page)
    page.get_by_role("button", name="Unfold all details").click()
    assert faults(page, axe) == []


def test_the_flights_shown_are_those_of_the_study(visit, written):
    page = visit(written(FLYING).page).page
    ready(page)
    choices = page.locator("[data-replay=flight] option").all_inner_texts()
    data = json.loads(written(FLYING).result.read_text("utf-8"))
    assert choices == [one["title"] for one in data["shown_flights"]]
    assert len(choices) == 3
    beyond = data["shown_flights"][2]
    assert beyond["forecast_m_s"] > data["wind"]["wind_limit_forecast_m_s"]
    page.locator("[data-replay=flight]").select_option("2")
    assert page.locator("[data-replay=about]").inner_text() == beyond["about"]


def test_values_are_read_along_the_wind_curve_by_key_and_by_pointer(visit, written):
    page = visit(written(FLYING).page).page
    points = json.loads(written(FLYING).result.read_text("utf-8"))["wind"]["points"]
    curve = page.locator("figure.wind")
    slider = curve.get_by_label("Read values")
    slider.focus()
    page.keyboard.press("End")
    words = f"{points[-1]['forecast_m_s']:.1f} m/s: {points[-1]['successes']} of"
    assert slider.get_attribute("aria-valuetext").startswith(words)
    assert curve.locator(".said").inner_text().startswith(words)
    curve.locator("svg").scroll_into_view_if_needed()
    box = curve.locator(".spot").first.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    words = f"{points[0]['forecast_m_s']:.1f} m/s: {points[0]['successes']} of"
    assert curve.locator(".said").inner_text().startswith(words)


def test_a_state_of_the_craft_is_set_beside_it_in_every_table(visit, written):
    """Soaked, bare or headless: chosen once, shown everywhere, with the figures of the file."""
    page = visit(written(FLYING).page).page
    states = json.loads(written(FLYING).result.read_text("utf-8"))["states"]
    tables = page.locator("table.states")
    assert tables.count() == 3
    heads = tables.first.locator("thead th")
    assert heads.all_inner_texts() == ["figure", "as built", *(one["words"] for one in states)]
    page.locator("#lift .choice").get_by_label("no head").check()
    for table in tables.all():
        shown = table.locator("thead th:visible").all_inner_texts()
        assert shown == ["figure", "as built", "no head"]
    assert page.locator("#head .choice").get_by_label("no head").is_checked()
    throttle = tables.first.locator("tr", has_text="hover throttle").locator("td.chosen")
    of_it = next(one for one in states if one["key"] == "no_head")
    assert throttle.inner_text() == f"{100.0 * of_it['lift']['hover_throttle']:.0f} %"
    page.locator("#upright .choice").get_by_label("all side by side").check()
    assert heads.filter(visible=True).count() == 2 + len(states)


def test_the_fabric_swings_on_demand_and_not_where_motion_is_unwanted(visit, written):
    figure = visit(written(FLYING).page).page.locator("figure.swings")
    assert figure.locator(".moving").count() == 0
    figure.get_by_role("button", name="Show it swing").click()
    line = figure.locator(".moving").first
    moved = "before => { const now = document.querySelector('.moving').getAttribute('points');"
    moved += " return now && now !== before ? now : null; }"
    before = figure.page.wait_for_function(moved, arg="").json_value()
    after = figure.page.wait_for_function(moved, arg=before).json_value()
    assert len(after.split()) == len(before.split()) > 2
    assert line.get_attribute("points")
    figure.get_by_role("button", name="Show the two ends").click()
    assert figure.locator(".moving").count() == 0
    still = visit(written(FLYING).page, reduced_motion="reduce").page.locator("figure.swings")
    assert still.locator("svg").is_visible()
    assert still.get_by_role("button").count() == 0


def test_without_scripts_everything_but_the_replay_is_there(visit, written, results):
    seen = visit(written(FLYING).page, java_script_enabled=False)
    text = seen.page.locator("body").inner_text()
    assert "The replay needs scripts" in text
    assert results(FLYING).verdict[1:] in text
    assert seen.page.locator("figure.wind svg").is_visible()
    assert seen.page.locator("figure.wind .spot title").count() > 1
    states = results(FLYING).states
    for words in ("figure", "as built", *(one.words for one in states)):
        assert seen.page.locator("table.states").first.get_by_text(words, exact=True).is_visible()
    fold = seen.page.locator("summary").first
    fold.click()
    assert seen.page.locator("details[open]").count() == 1


def test_in_print_the_replay_is_gone_and_pictures_stay(visit, written):
    page = visit(written(FLYING).page).page
    ready(page)
    page.emulate_media(media="print")
    assert not page.locator(".replayed").is_visible()
    assert not page.locator(".probe").first.is_visible()
    assert page.locator("figure.flight svg").is_visible()


@pytest.mark.parametrize("name", CRAFTS)
def test_the_card_prints_on_one_page_in_large_letters(visit, written, name):
    seen = visit(written(name).card)
    for paper in ("A4", "Letter"):
        pdf = seen.page.pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page\b", pdf)) == 1, paper
    seen.page.emulate_media(media="print")
    sizes = seen.page.evaluate(
        "[...document.querySelectorAll('#card *')].filter(e => e.textContent.trim())"
        ".map(e => parseFloat(getComputedStyle(e).fontSize))"
    )
    assert min(sizes) >= 12.0 * 96.0 / 72.0 - 0.01
    assert seen.told == []
    assert seen.fetched() == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_card_on_a_phone_fits_and_has_no_accessibility_fault(visit, written, axe, scheme):
    page = visit(written(FLYING).card, viewport=PHONE, color_scheme=scheme).page
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert faults(page, axe) == []


def test_a_name_with_markup_is_text_on_every_page(visit, results, tmp_path):
    result = results("jellyfish_too_heavy")
    spec = result.craft.spec.model_copy(update={"name": MARKUP})
    written = write_files(replace(result, craft=replace(result.craft, spec=spec)), tmp_path)
    shown = [ShownFlight(one.title, one.about, one.flight, one.record) for one in result.shown]
    replay = tmp_path / "replay.html"
    replay.write_text(replay_page(spec, result.packed, shown), encoding="utf-8")
    for path in (written.page, written.card, replay):
        seen = visit(path)
        assert seen.page.locator("h1").first.inner_text() == MARKUP
        assert seen.page.title() != "caught"
        assert seen.page.locator("b").count() == 0
        assert seen.told == []
        assert seen.fetched() == []
