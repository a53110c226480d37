"""How long the page of a field takes: to write, to show, and to follow a slider on a slow processor.

Run by hand: `python tests/benchmarks/bench_page.py`. Needs a Chromium. A phone is emulated, not used: a
window of 390 x 844 and the processor slowed down 4 times. Times of one run on one machine: ratios count.
"""

import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))

import browser
from made_page_plans import page_plan
from playwright.sync_api import sync_playwright

from zoning.show import page

SLOWER = 4
_PAINT = "performance.getEntriesByType('paint').find((one) => one.name === 'first-contentful-paint')"
# From the input event to the frame after the repaint.
_SLIDE = """(value) => new Promise((done) => {
    const box = document.getElementById('f-price');
    box.value = value;
    const began = performance.now();
    box.dispatchEvent(new Event('input', {bubbles: true}));
    requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => done(performance.now() - began);
        channel.port2.postMessage(0);
    });
})"""


# What of it is the map: all zones painted again, at prices that turn some of them.
_REPAINT = """() => {
    const data = written.read(document.getElementById("data").textContent);
    const model = whatIf.read(data.what_if);
    const took = [];
    for (let at = 0; at < 15; at += 1) {
        const figures = { ...data.what_if.base, grain_price_usd_bu: 8 + 0.4 * at };
        const answer = whatIf.judge(model, figures, {});
        const began = performance.now();
        fieldMap.show(answer, { figures, theme: "return", zone: null });
        took.push(performance.now() - began);
    }
    return took;
}"""


class InBrowser(NamedTuple):
    """Times of one page in one window. [ms]."""

    paint: float
    slide: float
    slow_slide: float
    repaint: float


def written_ms(zones: int, times: int = 5) -> tuple[float, int]:
    plan = page_plan(zones)
    page.text(plan)
    took = []
    for _ in range(times):
        began = time.process_time()
        text = page.text(plan)
        took.append(1000 * (time.process_time() - began))
    return statistics.median(took), len(text.encode())


def in_browser(driver, path: Path, size: tuple[int, int], slower: int) -> InBrowser:
    context = driver.new_context(viewport={"width": size[0], "height": size[1]}, offline=True)
    tab = context.new_page()
    session = context.new_cdp_session(tab)
    session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    tab.goto(path.as_uri())
    tab.wait_for_timeout(300)
    paint_ms = tab.evaluate(f"{_PAINT}.startTime")
    slides = [tab.evaluate(_SLIDE, f"{8 + 0.1 * at:.2f}") for at in range(40)]
    repaints = tab.evaluate(_REPAINT)
    context.close()
    slow = sorted(slides)[int(0.95 * len(slides))]
    return InBrowser(paint_ms, statistics.median(slides), slow, statistics.median(repaints))


def main() -> None:
    path = browser.chromium()
    if path is None:
        raise SystemExit("no Chromium here")
    with sync_playwright() as started, tempfile.TemporaryDirectory() as folder:
        driver = started.chromium.launch(executable_path=path, args=["--no-sandbox"])
        print("zones  written ms  bytes      window    slower  first paint ms  slider median, p95 ms  map ms")
        for zones in (6, 30, 50, 200):
            written, size = written_ms(zones)
            out = Path(folder) / f"page_{zones}.html"
            out.write_text(page.text(page_plan(zones)), encoding="utf-8")
            for window, slower in ((browser.DESK, 1), (browser.PHONE, SLOWER)):
                took = in_browser(driver, out, window, slower)
                print(
                    f"{zones:5}  {written:10.0f}  {size:9,}  {window[0]:4} x {window[1]:<4}  {slower}"
                    f"  {took.paint:14.0f}  {took.slide:9.1f} {took.slow_slide:9.1f}  {took.repaint:12.1f}"
                )
        driver.close()


if __name__ == "__main__":
    main()
