"""How heavy the phone's pages are and how soon they can be used: `python -m tests.benchmark_phone`.

A first visit goes through joining to the list of stations, in Chromium with an empty cache, over
Chrome's own “Slow 3G” of old (400 ms each way there and back, 400 kbit/s, Lighthouse's figures for
3G) and a processor four times slower. Needs Chromium and tests/requirements-browser.txt. Wall times
are measured here and never asserted in tests.
"""

import argparse
import os
import shutil
import statistics
import tempfile
from pathlib import Path

from .browser.field import Field

SLOW_3G = {
    "offline": False,
    "latency": 400,
    "downloadThroughput": 400_000 / 8,
    "uploadThroughput": 400_000 / 8,
}
SLOWER = 4
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def visit(browser, field, name, throttled):
    """One first visit: {step: (milliseconds, requests, bytes)}."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.set_default_timeout(60_000)
    devtools, counted = context.new_cdp_session(page), {"requests": 0, "bytes": 0}
    devtools.send("Network.enable")
    devtools.on(
        "Network.requestWillBeSent", lambda event: counted.update(requests=counted["requests"] + 1)
    )
    devtools.on(
        "Network.loadingFinished",
        lambda event: counted.update(bytes=counted["bytes"] + event["encodedDataLength"]),
    )
    if throttled:
        devtools.send("Network.emulateNetworkConditions", SLOW_3G)
        devtools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    found = {}

    def step(what, act, usable):
        before, start = dict(counted), page.evaluate("() => Date.now()")
        act()
        page.locator(usable).first.wait_for()
        found[what] = (
            page.evaluate("() => Date.now()") - start,
            counted["requests"] - before["requests"],
            counted["bytes"] - before["bytes"],
        )

    step(
        "joining page",
        lambda: page.goto(f"{field.address}/c/{field.code}/join/", wait_until="commit"),
        "form button.wide",
    )
    page.wait_for_load_state("load")  # a person who types a name takes longer than that
    page.get_by_label("Your name").fill(name)
    step(
        "list of stations",
        lambda: page.get_by_role("button", name="Join", exact=True).click(no_wait_after=True),
        "[data-stations] button",
    )
    page.wait_for_load_state("networkidle")
    found["all of it, with what the worker fetches later"] = (
        0,
        counted["requests"],
        counted["bytes"],
    )
    step("opened again", lambda: page.reload(wait_until="commit"), "[data-stations] button")
    context.close()
    return found


def main():
    """Print medians over some visits, throttled and not."""
    # Here, because pytest imports every module for its doctests, with the package or without.
    from playwright.sync_api import sync_playwright

    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--visits", type=int, default=5)
    visits = arguments.parse_args().visits
    program = (
        os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    )
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        field, browser = (
            Field(Path(folder) / "data").start("demo"),
            playwright.chromium.launch(executable_path=program, args=FLAGS),
        )
        try:
            for throttled in (False, True):
                print("Slow 3G, processor 4x slower" if throttled else "as fast as this machine")
                runs = [
                    visit(browser, field, f"{'slow' if throttled else 'fast'} {number}", throttled)
                    for number in range(visits)
                ]
                for what in runs[0]:
                    times, requests, sizes = zip(*(run[what] for run in runs), strict=True)
                    print(
                        f"  {what}: {statistics.median(times):.0f} ms, "
                        f"{statistics.median(requests):.0f} requests, "
                        f"{statistics.median(sizes) / 1000:.1f} kB"
                    )
        finally:
            browser.close()
            field.kill()


if __name__ == "__main__":
    main()
