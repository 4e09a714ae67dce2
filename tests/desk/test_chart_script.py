"""What the page does with a chart, in a real browser: words, hair line, keys, and a figure that was replaced."""

import html
import re
import shutil
import subprocess
from pathlib import Path

import pytest

import ampwright
from ampwright.documents.balance_chart import BalancePicture, OutputLine, svg
from ampwright.documents.balance_sheet import sheet_for
from ampwright.documents.chart_reader import as_page_json, reader_of, words_at

STATIC = Path(ampwright.__file__).parent / "desk" / "web" / "static"
BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
RISING_A = (0.0, 4.0, 9.0, 11.5, 12.0)
PICTURE = BalancePicture(
    title="Will it keep up?",
    speed_rpm=(500.0, 1500.0, 3500.0, 5500.0, 7000.0),
    outputs=(
        OutputLine("one", RISING_A, tuple(0.8 * a for a in RISING_A), tuple(1.2 * a for a in RISING_A)),
        OutputLine("another", RISING_A[::-1], RISING_A[::-1], RISING_A[::-1]),
    ),
    demand_lights_on_A=(7.0, 6.9, 6.8, 6.7, 6.6),
    demand_lights_off_A=(2.0,) * 5,
    road_speed_per_1000_rpm=15.7,
    road_speed_unit="mph",
    usual_low_rpm=None,
    usual_high_rpm=None,
    notes=(),
)
POLICY = "default-src 'none'; script-src 'self' file:; style-src 'self' file:"
# Puts a copy in the figure's place, points at 3000 rpm, goes one step by key, and writes down what it finds.
DRIVER = """
addEventListener("load", () => {
  const old = document.querySelector("figure");
  const figure = old.cloneNode(true);
  old.replaceWith(figure);
  const numbers = JSON.parse(figure.querySelector("script").textContent);
  const svg = figure.querySelector("svg");
  const box = svg.getBoundingClientRect();
  const scale = box.width / svg.viewBox.baseVal.width;
  const along = (3000 - numbers.x[0]) / (numbers.x.at(-1) - numbers.x[0]);
  const x = box.left + scale * (numbers.left + along * numbers.width);
  svg.dispatchEvent(new PointerEvent("pointermove", { bubbles: true, clientX: x, clientY: box.top + 50 }));
  const slider = figure.querySelector("input");
  const found = [figure.querySelector("output").textContent, slider.getAttribute("aria-valuetext")];
  slider.stepUp(1);
  slider.dispatchEvent(new Event("input", { bubbles: true }));
  const hairs = figure.querySelectorAll("[data-hair]");
  found.push(slider.getAttribute("aria-valuetext"), hairs.length, hairs[0].getAttribute("x1"));
  found.push(getComputedStyle(slider).display);
  const said = document.createElement("pre");
  said.textContent = found.join("|");
  document.body.append(said);
});
"""


def page_of(width_px: int, kind: str) -> str:
    reader = reader_of(PICTURE, width_px)
    return (
        f'<!doctype html><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{POLICY}">'
        '<link rel="stylesheet" href="chart.css"><script src="chart.js" defer></script>'
        '<script src="driver.js" defer></script>'
        f'<figure data-chart="{kind}">{svg(PICTURE, width_px=width_px)}'
        '<input type="range" min="500" max="7000" step="50" aria-label="Engine speed, rpm"><output></output>'
        f'<script type="application/json">{as_page_json(reader)}</script></figure>'
    )


@pytest.mark.skipif(BROWSER is None, reason="no browser to try the page in")
@pytest.mark.parametrize("width_px, kind, window_px", [(760, "wide", 1200), (340, "narrow", 500)])
def test_pointer_and_keys_read_the_chart_in_the_words_of_the_program(
    width_px: int, kind: str, window_px: int, tmp_path: Path
) -> None:
    pytest.importorskip("vl_convert")
    for name in ("chart.js", "chart.css"):
        shutil.copy(STATIC / name, tmp_path)
    (tmp_path / "driver.js").write_text(DRIVER, encoding="utf-8")
    (tmp_path / "page.html").write_text(page_of(width_px, kind), encoding="utf-8")
    flags = ["--headless", "--no-sandbox", "--disable-gpu", f"--window-size={window_px},900", "--dump-dom"]
    flags += [f"--user-data-dir={tmp_path / 'profile'}"]
    page = (tmp_path / "page.html").as_uri()
    done = subprocess.run([str(BROWSER), *flags, page], capture_output=True, text=True, check=True, timeout=60)
    (said,) = re.findall(r"<pre>(.*?)</pre>", done.stdout, re.DOTALL)
    output, pointed, stepped, hairs, hair_px, display = html.unescape(said).split("|")
    reader = reader_of(PICTURE, width_px)
    # The program's own words are the reference; the page only keeps a figure and its unit on one line.
    assert pointed == words_at(reader, 3000.0)
    assert output.replace("\u00a0", " ") == pointed
    assert stepped == words_at(reader, 3050.0)
    assert (hairs, display) == ("1", "block")
    # by hand: the same share of the plot's width as 3050 is of 500 to 7000 rpm
    assert float(hair_px) == pytest.approx(reader.left + reader.width * 2550.0 / 6500.0)


@pytest.mark.parametrize("width_px, kind", [(760, "wide"), (340, "narrow")])
def test_the_sliders_ends_lie_under_those_of_the_plot(width_px: int, kind: str) -> None:
    rule = (
        rf'data-chart="{kind}"\] input\[type="range"\] {{ margin: 0 0 0 calc\(([\d.]+)% - 8px\); width: calc\(([\d.]+)%'
    )
    ((left, width),) = re.findall(rule, (STATIC / "chart.css").read_text(encoding="utf-8"))
    sheet = sheet_for(PICTURE, width_px)
    # the layout's own px, as shares of the whole width; CSS has six figures
    assert float(left) == pytest.approx(100.0 * sheet.left / width_px, rel=1e-5)
    assert float(width) == pytest.approx(100.0 * sheet.plot_width / width_px, rel=1e-5)


def test_the_script_writes_no_markup_and_no_style_text() -> None:
    script = (STATIC / "chart.js").read_text(encoding="utf-8")
    # W3C Content Security Policy Level 3 blocks style text and inline handlers; markup from strings is never needed
    text_as_code = r'innerHTML|outerHTML|insertAdjacentHTML|setAttribute\("style"|cssText|eval|\.on\w+ = '
    assert not re.search(text_as_code, script)
