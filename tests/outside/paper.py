"""Prints report.html to PDF by a headless Chromium and reads the pages: no picture and no short table is cut, no row is split, no heading
ends a page. Where there is a slider, it was moved before, is gone, and the section is that at rated pressure.

    venv/bin/python tests/outside/paper.py FOLDER CHROMIUM
"""

import html
import pathlib
import re
import subprocess
import sys
import tempfile

import pymupdf

FLAGS = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-sync".split()
SLIDER = 'type="range"'
MOVE = "<script>{ const s = document.getElementById('step'); s.value = 0; s.dispatchEvent(new Event('input')); }</script>"


def printed(report, chromium):
    """The pages of the report as Chromium prints it."""
    with tempfile.TemporaryDirectory() as scratch:
        page, pdf = pathlib.Path(scratch) / "report.html", pathlib.Path(scratch) / "report.pdf"
        page.write_text(report.replace("</body>", f"{MOVE}</body>") if SLIDER in report else report)
        command = [chromium, *FLAGS, f"--user-data-dir={scratch}/profile", "--no-pdf-header-footer", f"--print-to-pdf={pdf}", page.as_uri()]
        subprocess.run(command, capture_output=True, timeout=120, check=True)
        return [page for page in pymupdf.open(stream=pdf.read_bytes())]


def words(text):
    """A text without its tags, entities and white space."""
    return "".join(html.unescape(re.sub("<[^>]*>", "", text)).split())


def parts(report, tag, inner):
    """Texts of the inner elements of each element of a kind: a list for each."""
    elements = re.findall(rf"<{tag}\b([^>]*)>(.*?)</{tag}>", report, re.S)
    return [(head, [words(t) for t in re.findall(rf"<(?:{inner})\b[^>]*>(.*?)</(?:{inner})>", body, re.S)]) for head, body in elements]


def check_whole(kind, texts, pages):
    """All texts stand on one page."""
    texts = [t for t in texts if t]
    assert any(all(t in page for t in texts) for page in pages), f"{kind} is cut: {texts[:4]}"


def check_headings(report, pages):
    """No page ends with a heading."""
    headings = {words(t) for t in re.findall(r"<h[23]>(.*?)</h[23]>", report, re.S)}
    for number, page in enumerate(pages, 1):
        lines = [line for line in page.get_text(sort=True).splitlines() if line.strip()]
        assert lines and words(lines[-1]) not in headings, f"page {number} ends with the heading {lines[-1:]}"


def main(folder, chromium):
    report = (folder / "report.html").read_text()
    pages = printed(report, chromium)
    texts = [words(page.get_text()) for page in pages]
    figures = parts(report, "figure", "text|figcaption")
    frames = [(head, inner) for head, inner in figures if "data-state" in head]
    rated = [inner for head, inner in frames if "ratedpressure," in words(f"<i>{html.unescape(head)}</i>") or "rated pressure," in head]
    if SLIDER in report:
        assert len(frames) >= 4 and len(rated) == 1, "the report has no single rated state"
    for head, inner in figures:
        shown = "data-state" not in head or inner in rated
        if shown:
            check_whole("a picture", inner, texts)
        else:
            assert not any(inner[-1] in page for page in texts), f"a state beside the rated one is printed: {inner[-1]}"
    assert not any("State:" in page for page in texts), "the slider is printed"
    tables = parts(report, "table", "td|th")
    columns = [len(heads) for _, heads in parts(report, "table", "th")]
    for (head, cells), width in zip(tables, columns, strict=True):
        if "long" in head:
            for row in zip(*[iter(cells)] * width):
                assert any("".join(row) in page for page in texts), f"a row is split: {row}"
        else:
            check_whole("a table", cells, texts)
    check_headings(report, pages)
    pictures = len(figures) - len(frames) + len(rated)
    print(f"{folder.name}/report.html on paper: {len(pages)} pages, {len(tables)} tables, {pictures} pictures, none cut")


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]), sys.argv[2])
