"""What the eye needs of the live page: nothing wider than the window, contrast by WCAG 2.2 (1.4.3: 4.5 to 1), a name on every control."""

from browser import Browser

WIDTHS = (360, 1400)
THEMES = ("light", "dark")
LEAST_CONTRAST = 4.5
PROBE = """
(() => {
  const channel = (c) => { c /= 255; return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4; };
  const parts = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
  const ground = (e) => { for (; e; e = e.parentElement) { const c = parts(getComputedStyle(e).backgroundColor); if (c.length < 4 || c[3] > 0) return c; } return [255, 255, 255]; };
  const found = { wide: [], faint: [], nameless: [] };
  const page = document.documentElement;
  if (page.scrollWidth > page.clientWidth) found.wide.push(`the page, ${page.scrollWidth} px`);
  for (const box of document.querySelectorAll("details")) box.open = true;
  const seen = (e) => e.getClientRects().length > 0 && !e.closest(".skip, [disabled]");
  for (const e of document.querySelectorAll("body *")) {
    if (!seen(e) || e.closest("script, style")) continue;
    const r = e.getBoundingClientRect();
    if (r.right > page.clientWidth + 1 && !e.closest(".scroll, .picture, svg")) found.wide.push(e.outerHTML.slice(0, 80));
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()) || "value" in e && e.tagName !== "OPTION";
    if (!own || e.tagName === "OPTION" || e.type === "range" || e.type === "checkbox" || e.tagName === "PROGRESS" || e.tagName === "TITLE" || e.tagName === "DESC") continue;
    const inSvg = e.closest("svg"), style = getComputedStyle(e);
    const [a, b] = [light(parts(inSvg ? style.fill : style.color)), light(ground(e))].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < %s) found.faint.push(`${ratio.toFixed(2)}: ${e.outerHTML.slice(0, 100)}`);
  }
  for (const e of document.querySelectorAll("button, input:not([hidden]), select, textarea, progress")) {
    if (seen(e) && !(e.labels?.length || e.getAttribute("aria-label") || e.textContent.trim() && e.tagName === "BUTTON")) found.nameless.push(e.outerHTML.slice(0, 80));
  }
  return found;
})()""" % LEAST_CONTRAST


def readable(browser: Browser):
    for theme in THEMES:
        browser.run(f"((e) => {{ e.value = '{theme}'; e.dispatchEvent(new Event('change')); }})(document.getElementById('appearance'))")
        for width in WIDTHS:
            browser.resize(width, 900)
            browser.run("new Promise((done) => setTimeout(() => done(true), 300))")
            found = browser.run(PROBE)
            for fault, places in found.items():
                assert not places, f"{theme}, {width} px, {fault}: {places[:6]}"
    browser.resize(1400, 1000)
    print(f"readable at {WIDTHS[0]} and {WIDTHS[1]} px, light and dark: contrast at least {LEAST_CONTRAST}, every control named")
