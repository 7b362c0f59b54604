"""The replay in a real browser: it draws, moves, obeys the keyboard, and fetches nothing."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from sim.analysis.fly_study import start_of_task
from sim.analysis.shown_flights import fly_again
from sim.report.replay.page import ShownFlight, replay_page
from sim.spec import load_craft, load_scenario

ROOT = Path(__file__).parents[2]
MARKUP = "</script><script>document.title='caught'</script><b>moon</b>"


def page_of(craft_name, scenario_name, wind_m_s, folder, name=None):
    craft = load_craft(ROOT / f"airframes/{craft_name}.yaml")
    scenario = load_scenario(ROOT / f"scenarios/{scenario_name}.yaml")
    packed, start = start_of_task(craft, scenario)
    flown = [fly_again(packed, scenario.spec, start, wind_m_s, number) for number in (0, 1)]
    shown = [ShownFlight(one.title, one.about, one.flight, one.record) for one in flown]
    spec = craft.spec if name is None else craft.spec.model_copy(update={"name": name})
    path = folder / "replay.html"
    path.write_text(replay_page(spec, packed, shown), encoding="utf-8")
    return path, flown


@pytest.fixture(scope="module")
def jellyfish(tmp_path_factory):
    folder = tmp_path_factory.mktemp("replay")
    return page_of("jellyfish_bicopter", "lake_breeze", 4.0, folder)


def ready(page):
    page.wait_for_selector("[data-replay-root][data-ready=yes]", timeout=20_000)


def picture(page, name="canvas"):
    shot = page.locator(f"[data-replay={name}]").screenshot()
    return np.asarray(Image.open(io.BytesIO(shot)).convert("RGB")).astype(int)


def time_of(page):
    return float(page.locator("[data-replay=scrub]").input_value())


def test_it_draws_and_the_picture_changes_with_time(visit, jellyfish):
    path, _ = jellyfish
    seen = visit(path)
    ready(seen.page)
    before = picture(seen.page)
    assert before.std() > 5.0  # not one colour
    seen.page.locator("[data-replay=scrub]").focus()
    seen.page.keyboard.press("PageUp")
    assert time_of(seen.page) == pytest.approx(10.0)
    after = picture(seen.page)
    assert np.abs(after - before).max() > 30
    assert seen.told == []
    assert seen.fetched() == []
    assert path.stat().st_size < 6e6


def test_the_words_are_the_flights_own_numbers(visit, jellyfish):
    path, flown = jellyfish
    seen = visit(path)
    ready(seen.page)
    seen.page.locator("[data-replay=scrub]").focus()
    for _ in range(5):
        seen.page.keyboard.press("ArrowRight")
    row = 250  # 5 s at 50 rows a second
    height = float(flown[0].flight.channel("height")[row])
    wind = np.hypot(*(flown[0].flight.channel(name)[row] for name in ("wind_north", "wind_east")))
    text = seen.page.locator("[data-replay=now]").inner_text()
    assert text.startswith("5.0 s:")
    assert f"height {height:.2f} m" in text
    assert f"wind {float(wind):.1f} m/s" in text


@pytest.mark.parametrize(
    ("keys", "time_s"),
    [(["End"], 19.98), (["End", "Home"], 0.0), (["ArrowUp", ".", ","], 1.0), (["ArrowLeft"], 0.0)],
)
def test_keys_move_the_time(visit, jellyfish, keys, time_s):
    seen = visit(jellyfish[0])
    ready(seen.page)
    seen.page.locator("[data-replay=scrub]").focus()
    for key in keys:
        seen.page.keyboard.press(key)
    assert time_of(seen.page) == pytest.approx(time_s, abs=0.03)


def test_play_runs_and_stops(visit, jellyfish):
    seen = visit(jellyfish[0])
    ready(seen.page)
    seen.page.get_by_role("button", name="Play").click()
    for _ in range(200):
        if time_of(seen.page) > 0.5:
            break
        seen.page.wait_for_timeout(50)
    assert time_of(seen.page) > 0.5
    seen.page.get_by_role("button", name="Pause").click()
    stopped = time_of(seen.page)
    seen.page.wait_for_timeout(300)
    assert time_of(seen.page) == stopped


def test_an_event_jumps_the_time_and_another_flight_starts_anew(visit, jellyfish):
    path, flown = jellyfish
    seen = visit(path)
    ready(seen.page)
    last = seen.page.locator("[data-replay=events] button").last
    assert "flight ends" in last.inner_text()
    last.click()
    assert time_of(seen.page) == pytest.approx(19.98, abs=0.03)
    seen.page.locator("[data-replay=flight]").select_option("1")
    assert time_of(seen.page) == 0.0
    assert seen.page.locator("[data-replay=about]").inner_text() == flown[1].about


def test_dragging_turns_the_view(visit, jellyfish):
    seen = visit(jellyfish[0])
    ready(seen.page)
    before = picture(seen.page)
    box = seen.page.locator("[data-replay=canvas]").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    seen.page.mouse.move(x, y)
    seen.page.mouse.down()
    seen.page.mouse.move(x + 150, y + 20, steps=5)
    seen.page.mouse.up()
    seen.page.wait_for_timeout(100)
    assert np.abs(picture(seen.page) - before).max() > 30


def test_without_three_dimensions_it_says_so_and_goes_on(visit, jellyfish):
    """A machine without WebGL: the getter is taken away before the page runs."""
    path, _ = jellyfish
    seen = visit(path)
    seen.page.add_init_script(
        "const old = HTMLCanvasElement.prototype.getContext;"
        "HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {"
        " return kind.startsWith('webgl') ? null : old.call(this, kind, ...rest); };"
    )
    seen.page.reload()
    ready(seen.page)
    assert seen.page.locator("[data-replay=message]").is_visible()
    seen.page.locator("[data-replay=scrub]").focus()
    seen.page.keyboard.press("ArrowRight")
    assert seen.page.locator("[data-replay=now]").inner_text().startswith("1.0 s:")


def test_without_scripts_the_page_says_what_is_missing(visit, jellyfish):
    seen = visit(jellyfish[0], java_script_enabled=False)
    assert "The replay needs scripts" in seen.page.locator("main").inner_text()


def test_it_works_in_the_dark_and_on_a_phone(visit, jellyfish):
    phone = {"color_scheme": "dark", "viewport": {"width": 390, "height": 844}}
    seen = visit(jellyfish[0], **phone)
    ready(seen.page)
    assert picture(seen.page).mean() < 128
    wide = seen.page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390
    assert seen.told == []


def test_names_with_markup_are_only_text(visit, tmp_path):
    path, _ = page_of("heron_tricopter", "first_hop", 2.0, tmp_path, name=MARKUP)
    seen = visit(path)
    ready(seen.page)
    assert seen.page.locator("h1").inner_text() == MARKUP
    assert seen.page.title() != "caught"
    assert seen.page.locator("h1 b").count() == 0
    assert seen.told == []
