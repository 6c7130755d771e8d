"""Opens report.html in a headless Chromium: no error on the console, nothing wider than the page at 360 and 1400 px, the slider moves
the picture, and shows the state it names.

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
  found.wide = [...page.body.querySelectorAll("h1, h2, p, figure, svg, .scroll, pre, input")]
    .filter((e) => e.getBoundingClientRect().right > frame.clientWidth + 1 && !e.closest(".scroll")).map((e) => e.outerHTML.slice(0, 60));
  const visible = () => [...page.querySelectorAll("#frames figure")].filter((f) => !f.hidden).map((f) => f.dataset.state);
  found.states = [];
  for (let i = 0; i <= Number(slider.max); i += 1) {
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
        states = part["states"]
        assert len(states) >= 4 and len({s[0] for s in states}) == len(states), states
        assert all(len(s) == 2 and s[0] == s[1] for s in states), states
    print(f"report.html: no console message, fits {WIDTHS[0]} and {WIDTHS[1]} px, slider shows {len(states)} states")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), sys.argv[2])
