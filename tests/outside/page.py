"""Opens report.html in a headless Chromium: no error on the console, nothing wider than the page at 360 and 1400 px, every picture has a
title, what scrolls is reached by keys; where there is a slider, it moves the picture and shows the state it names.

    python3 tests/outside/page.py FOLDER CHROMIUM
"""

import html
import json
import pathlib
import re
import subprocess
import sys
import tempfile

WIDTHS = (360, 1400)
FLAGS = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-sync".split()
PROBE = """
const result = {};
for (const frame of document.querySelectorAll("iframe")) {
  const page = frame.contentDocument, slider = page.getElementById("step"), found = {};
  found.wide = [...page.body.querySelectorAll("h1, h2, h3, p, li, figure, figcaption, svg, table, .scroll, pre, input")]
    .filter((e) => e.getBoundingClientRect().right > frame.clientWidth + 1 && !e.parentElement.closest(".scroll"))
    .map((e) => e.outerHTML.slice(0, 60));
  // Text that runs out of its box makes the page wider, not the box.
  if (page.documentElement.scrollWidth > frame.clientWidth) found.wide.push(`the page, ${page.documentElement.scrollWidth} px`);
  const pictures = [...page.querySelectorAll("svg")].filter((e) => !e.parentElement.closest("svg"));
  found.untitled = pictures.filter((e) => !e.querySelector("title")?.textContent.trim()).length;
  found.pictures = pictures.length;
  found.keyless = [...page.querySelectorAll(".scroll, pre")]
    .filter((e) => e.scrollWidth > e.clientWidth && e.tabIndex < 0).map((e) => e.outerHTML.slice(0, 60));
  const visible = () => [...page.querySelectorAll("#frames figure")].filter((f) => !f.hidden).map((f) => f.dataset.state);
  found.states = [];
  for (let i = 0; slider && i <= Number(slider.max); i += 1) {
    slider.value = i;
    slider.dispatchEvent(new Event("input"));
    found.states.push([page.getElementById("state").textContent, ...visible()]);
  }
  result[frame.width] = found;
}
const out = document.createElement("pre");
out.id = "result";
out.textContent = JSON.stringify(result);
document.body.append(out);
"""


def main(folder, chromium):
    report = (folder / "report.html").read_text()
    frames = "".join(f'<iframe width="{w}" height="900" srcdoc="{html.escape(report)}"></iframe>' for w in WIDTHS)
    with tempfile.TemporaryDirectory() as scratch:
        page = pathlib.Path(scratch) / "probe.html"
        page.write_text(f"<!doctype html><body>{frames}<script>addEventListener('load', () => {{{PROBE}}});</script>")
        command = [chromium, *FLAGS, f"--user-data-dir={scratch}/profile", "--enable-logging=stderr", "--dump-dom", page.as_uri()]
        run = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    console = [line for line in run.stderr.splitlines() if "CONSOLE" in line]
    assert not console, console
    found = json.loads(html.unescape(re.search(r'<pre id="result">(.*?)</pre>', run.stdout, re.S)[1]))
    for width in WIDTHS:
        part = found[str(width)]
        assert not part["wide"], f"wider than {width} px: {part['wide']}"
        assert part["untitled"] == 0, f"{part['untitled']} pictures without a title"
        assert not part["keyless"], f"scrolls, and no key reaches it: {part['keyless']}"
        states = part["states"]
        if 'type="range"' in report:
            assert len(states) >= 4 and len({s[0] for s in states}) == len(states), states
            assert all(len(s) == 2 and s[0] == s[1] for s in states), states
    shown = f", slider shows {len(states)} states" if states else ""
    print(f"{folder.name}/report.html: no console message, fits {WIDTHS[0]} and {WIDTHS[1]} px, {part['pictures']} pictures{shown}")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), sys.argv[2])
