"""Random edits of the live page: whatever is typed, in whatever order, leaves no error and no growing heap."""

import json
import random

from browser import Browser

# Heap of the page after a collection, bytes, that may be added over all edits: the texts for undo have a bound.
MOST_GROWTH = 40e6
# What people type, right and wrong.
VALUES = ["620 mm", "24.4 in", "5", "5 bar", "72 psi", "-1 mm", "1e999 mm", "nan", "", " ", "0.3", "0", "30 %", "true", "\"", "\\", "[[", "[rim]",
          "drawing", "box", "400 kN", "60 Shore A", "28-622", "ä\u2028\U0001d4d0", "x" * 200, "first lift", "0 mm", "3", "45 deg"]
STEP = """
((seed, value) => {
  const pick = (list) => list[Math.floor(seed * list.length)];
  const fields = [...document.querySelectorAll("#form input, #form select")], slides = [...document.querySelectorAll("#sliders input:not(:disabled)")];
  const set = (e, v, what) => { e.value = v; e.dispatchEvent(new Event(what, { bubbles: true })); };
  const text = document.getElementById("text"), at = Math.floor(seed * 7919) % (text.value.length + 1);
  const acts = [
    () => { const e = pick(fields); if (!e.disabled) set(e, e.tagName === "SELECT" ? pick([...e.options]).value : value, e.tagName === "SELECT" ? "change" : "input"); },
    () => { const e = pick(slides); if (e) set(e, Number(e.min) + ((seed * 977) % 1) * (e.max - e.min), "input"); },
    () => set(text, text.value.slice(0, at) + value + text.value.slice(at), "input"),
    () => set(text, text.value.slice(0, at) + text.value.slice(at + 40), "input"),
    () => { for (let i = 0; i < 3; i += 1) document.getElementById("undo").click(); },
    () => document.getElementById("redo").click(),
    () => document.getElementById(pick(["compute", "stop", "hold", "swap", "release", "example", "starter"])).click(),
    () => { const e = document.getElementById(pick(["pressure", "length", "language", "appearance"])); set(e, pick([...e.options]).value, "change"); },
  ];
  acts[Math.floor((seed * 104729) % acts.length)]();
  return document.getElementById("messages").textContent;
})"""


def heap(browser: Browser):
    browser.call("HeapProfiler.collectGarbage")
    return browser.call("Runtime.getHeapUsage")["usedSize"]


def random_edits(browser: Browser, seconds):
    """Edits for some seconds, a case that reads back every so often so that the worker has work; what was done, in words."""
    import time

    rng, start, edits = random.Random(1), time.monotonic(), 0
    browser.run("document.getElementById('follow').checked || document.getElementById('follow').click()")
    before = heap(browser)
    while time.monotonic() - start < seconds:
        edits += 1
        browser.run(f"{STEP}({rng.random()}, {json.dumps(rng.choice(VALUES))})")
        if edits % 40 == 0:
            browser.run("document.getElementById('example').click()")
            browser.run("new Promise((done) => setTimeout(() => done(true), 1500))")
        assert not browser.console, f"after {edits} edits: {browser.console[:3]}"
    browser.run("document.getElementById('example').click()")
    browser.wait("document.getElementById('mark').textContent !== '' && document.getElementById('faults').querySelector('li') === null", 10)
    grown = heap(browser) - before
    assert grown < MOST_GROWTH, f"{edits} edits left {grown / 1e6:.1f} MB on the heap"
    return f"{edits} random edits in {seconds:.0f} s: no error, heap {grown / 1e6:+.1f} MB"
