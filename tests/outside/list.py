"""Uses the page of a list as a person does, in a headless Chromium: filters by name and by finding on a rim, sorts both ways, chooses a pair.

    python3 tests/outside/list.py FOLDER CHROMIUM
"""

import csv
import html
import json
import pathlib
import re
import subprocess
import sys
import tempfile

FLAGS = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-sync".split()
PROBE = """
const result = {}, page = (id) => document.getElementById(id);
const shown = () => [...page("matrix").tBodies[0].rows].filter((row) => !row.hidden).map((row) => row.cells[0].firstChild.textContent.trim());
const set = (id, value) => { page(id).value = value; page(id).dispatchEvent(new Event("input")); };
result.all = shown();
set("find", result.all[1].toLowerCase());
result.named = shown();
result.count = page("shown").textContent;
set("find", "");
set("kind", "k0");
set("rim", "0");
result.fits = shown();
set("kind", "");
set("rim", "");
const head = document.querySelector('[data-by="1"]');
head.click();
result.up = shown();
head.click();
result.down = shown();
result.sorted = head.closest("th").getAttribute("aria-sort");
document.querySelector("#matrix td button").click();
result.pair = page("detail").querySelector("h3").textContent;
result.rows = [...page("detail").querySelectorAll("tr")].map((row) => [...row.cells].map((cell) => cell.textContent));
result.picture = page("detail").querySelectorAll("svg rect").length;
result.chosen = document.querySelectorAll("#matrix .chosen").length;
const out = document.createElement("pre");
out.id = "result";
out.textContent = JSON.stringify(result);
document.body.append(out);
"""


def used(report, chromium):
    """What the page shows after each step, and what stands on its console."""
    with tempfile.TemporaryDirectory() as scratch:
        page = pathlib.Path(scratch) / "list.html"
        page.write_text(report.replace("</body>", f"<script>addEventListener('load', () => {{{PROBE}}});</script></body>"))
        command = [chromium, *FLAGS, f"--user-data-dir={scratch}/profile", "--enable-logging=stderr", "--dump-dom", page.as_uri()]
        run = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    console = [line for line in run.stderr.splitlines() if "CONSOLE" in line]
    assert not console, console
    return json.loads(html.unescape(re.search(r'<pre id="result">(.*?)</pre>', run.stdout, re.S)[1]))


def main(folder, chromium):
    found = used((folder / "report.html").read_text(), chromium)
    with open(folder / "pairs.csv", newline="") as file:
        pairs = list(csv.DictReader(file))
    tyres = list(dict.fromkeys(pair["tyre"] for pair in pairs))
    assert found["all"] == tyres, found["all"]
    assert found["named"] == [tyres[1]] and found["count"] == f"1 of {len(tyres)} tyres", found
    rim = pairs[0]["rim"]
    assert found["fits"] == [p["tyre"] for p in pairs if p["rim"] == rim and p["finding"] == "fits"], found["fits"]
    size = {pair["tyre"]: float(pair["diameter [mm]"]) for pair in pairs}
    assert [size[t] for t in found["up"]] == sorted(size.values()), found["up"]
    assert found["down"] == found["up"][::-1] and found["sorted"] == "descending", found
    # The matrix stands as sorted: its first pair is that of the largest bead.
    first = next(pair for pair in pairs if pair["tyre"] == found["down"][0])
    assert found["pair"] == f"{first['tyre']} on {first['rim']}" and found["chosen"] == 1, found["pair"]
    rows = dict(found["rows"])
    assert rows["finding"] == first["in_words"] and (found["picture"] > 0) == (first["finding"] != "other size"), rows
    print(f"{folder.name}/report.html: filtered, sorted, a pair chosen")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), sys.argv[2])
