// What is known of the case, each number marked for what it is.

const PRESSURES = [["first_lift", "first_lift_mpa"], ["local_release", "local_release_mpa"], ["off_centre", "off_centre_release_mpa"], ["blow_off", "uniform_blow_off_mpa"]];
const at = (tree, ...way) => way.reduce((part, key) => part?.[key], tree);

// Rows of numbers: name, kind, from the closed form, from the elements' document. A number that is a lower bound is [number].
function numberRows() {
  const released = (block, key) => (d) => at(d, block, key) ?? bound(at(d, block, key.replace(/_mpa$/, "_above_mpa")));
  const bound = (x) => x == null ? null : [x];
  const four = (group, closed, block) => PRESSURES.map(([name, key]) =>
    ({ group, name: label(name), kind: "pressure", closed: (e) => at(e, closed, key), elements: released(block, key) }));
  const share = (n, c) => n == null ? null : n / c.pretension_n;
  return [
    ...four(label("with_friction"), "with_friction", "retention"),
    ...four(label("without_friction"), "frictionless", "retention_frictionless"),
    { group: label("states"), name: label("tension_rated"), kind: "force", closed: (e) => at(e, "with_friction", "rated_tension_n"), elements: (d) => at(d, "bead", "tension_n") },
    { group: label("states"), name: label("lift_rated"), kind: "length", closed: (e) => at(e, "with_friction", "rated_lift_mm"), elements: (d) => at(d, "bead", "lift_mm") },
    { group: label("states"), name: label("loss_rated"), kind: "share", closed: (e, c) => share(at(e, "with_friction", "rated_spoke_tension_loss_n"), c), elements: (d) => at(d, "rim", "spoke_tension_loss_share") },
    { group: label("states"), name: label("seat_rated"), kind: "line", closed: () => null, elements: (d) => at(d, "rim", "seat_load_n_per_mm") },
    { group: label("states"), name: label("tension_fit"), kind: "force", closed: (e) => e.fit_tension_n, elements: (d) => at(d, "fit", "bead", "tension_n") },
    { group: label("states"), name: label("seat_fit"), kind: "line", closed: (e) => e.fit_seat_load_n_per_mm, elements: (d) => at(d, "fit", "rim", "seat_load_n_per_mm") },
    { group: label("states"), name: label("mounting"), kind: "force", closed: (e) => e.mounting_force_limp_n, elements: () => null },
    { group: label("states"), name: label("width"), kind: "length", closed: () => null, elements: (d) => at(d, "tyre", "width_mm") },
    { group: label("states"), name: label("outer"), kind: "length", closed: () => null, elements: (d) => at(d, "tyre", "outer_diameter_mm") },
  ];
}

function cell(kind, x) {
  return Array.isArray(x) ? `> ${number(kind, x[0])}` : number(kind, x);
}

// Change from the reference, percent; nothing where one is a bound or not known.
function change(from, to) {
  const known = (x) => typeof x === "number" && Number.isFinite(x);
  return known(from) && known(to) && Math.abs(from) > 1e-9 ? `${to >= from ? "+" : ""}${(100 * (to - from) / Math.abs(from)).toFixed(2)} %` : "-";
}

// A column of numbers: head, mark, and how it takes a number of a row.
function columns(read, standing, done, reference, near) {
  const all = [];
  if (reference) {
    all.push({ head: label("reference"), mark: "estimate", take: (row) => row.closed(reference.case.estimate ?? {}, reference.case) });
    all.push({ head: label("reference"), mark: reference.done ? "held" : "none", take: (row) => reference.done ? row.elements(reference.done.document) : null });
  }
  all.push({ head: label("this_case"), mark: "estimate", take: (row) => row.closed(read.case?.estimate ?? {}, read.case ?? {}) });
  const here = near ?? done?.document;
  all.push({ head: label("this_case"), mark: near ? "near" : standing, take: (row) => here ? row.elements(here) : null });
  return all;
}

function numbersTable(read, standing, done, reference, near) {
  const shownColumns = columns(read, standing, done, reference, near);
  const stale = standing !== "current";
  const old = stale && done && !near;
  const heads = shownColumns.map((column, i) => element("th", { scope: "col", class: "n" }, column.head, element("br"),
    element("span", { class: `mark ${markClass(column.mark)}` }, label(`mark/${column.mark}`)),
    ...(old && i === shownColumns.length - 1 && standing !== "outdated" ? [element("br"), element("span", { class: "hint" }, label("earlier"))] : [])));
  const changed = reference ? [element("th", { scope: "col", class: "n" }, label("change"), element("br"), element("span", { class: "mark" }, label(changeOf(read, standing, reference))))] : [];
  const body = numberRows().flatMap((row, n, rows) => {
    const taken = shownColumns.map((column) => column.take(row));
    const cells = taken.map((x, i) => {
      const earlier = old && i === taken.length - 1 && x != null;
      const words = cell(row.kind, x), reached = near && i === taken.length - 1 && x != null;
      return element("td", { class: earlier ? "n old" : "n" }, earlier ? `(${words})` : reached ? `\u2248 ${words}` : words);
    });
    if (reference) cells.push(element("td", { class: "n" }, differs(taken, read, standing, reference)));
    const line = element("tr", {}, element("th", { scope: "row" }, `${row.name}, ${KINDS[row.kind].unit()}`), ...cells);
    const first = row.group !== rows[n - 1]?.group;
    return first ? [element("tr", { class: "group" }, element("th", { scope: "colgroup", colspan: cells.length + 1 }, row.group)), line] : [line];
  });
  return element("table", {}, element("thead", {}, element("tr", {}, element("th", { scope: "col" }, label("number")), ...heads, ...changed)), element("tbody", {}, ...body));
}

// Changes are of the elements where both cases have them, else of the closed forms: never of one against the other.
function changeOf(read, standing, reference) {
  return standing === "current" && reference.done ? "by_elements" : "by_estimate";
}

function differs([closedBefore, before, closed, now], read, standing, reference) {
  return changeOf(read, standing, reference) === "by_elements" ? change(before, now) : change(closedBefore, closed);
}

function markClass(mark) {
  return { estimate: "estimate", current: "current", held: "current" }[mark] ?? "pending";
}

// Inputs that differ from the reference's, as resolved.
function differingInputs(read, reference) {
  const [a, b] = [reference.case.values, read.case?.values ?? {}];
  const paths = [...new Set([...Object.keys(a), ...Object.keys(b)])].filter((path) => path !== "title" && a[path]?.shown !== b[path]?.shown);
  const rows = paths.map((path) => element("tr", {}, element("th", { scope: "row" }, path), element("td", {}, a[path]?.shown ?? "-"), element("td", {}, b[path]?.shown ?? "-")));
  if (!rows.length) return element("p", {}, label("no_difference"));
  const head = element("tr", {}, ...["input", "reference", "this_case"].map((key) => element("th", { scope: "col" }, label(key))));
  return element("div", { class: "scroll", tabindex: 0, role: "group", "aria-label": label("differences") }, element("table", {}, element("thead", {}, head), element("tbody", {}, ...rows)));
}

// The limits that the elements are held against.
function limitsTable(document) {
  const kinds = { MPa: "pressure", N: "force" };
  const show = (check, x) => kinds[check.unit] ? quantity(kinds[check.unit], x) : `${x == null ? "-" : plain(x)} ${check.unit}`;
  const rows = document.checks.map((check) => element("tr", {}, element("th", { scope: "row" }, check.what),
    element("td", { class: "n" }, `${check.lower_bound && check.value != null ? "> " : ""}${show(check, check.value)}`), element("td", { class: "n" }, show(check, check.limit)),
    element("td", {}, label(check.kept == null ? "not_known" : check.kept ? "kept" : "not_kept"))));
  const head = element("tr", {}, ...["limit", "found", "limit_at", "kept_or_not"].map((key, i) => element("th", { scope: "col", class: i % 3 ? "n" : null }, label(key))));
  return element("div", { class: "scroll", tabindex: 0, role: "group", "aria-label": label("limit") }, element("table", {}, element("thead", {}, head), element("tbody", {}, ...rows)));
}

function allowedSentence(document) {
  const beside = document.allowed_pressure;
  if (document.allowed_pressure_mpa == null) return label("allowed_none", { reason: beside.reason ?? "" });
  const pressure = `${beside.lower_bound ? "> " : ""}${quantity("pressure", document.allowed_pressure_mpa)}`;
  return label("allowed", { pressure, decides: beside.decides ?? "" });
}

// Colours of the report's pictures, by the page's own names for them, so that a picture follows the theme.
const COLOURS = { "#ffffff": "sheet", "#1f2a36": "ink", "#7d8894": "faint", "#e3e7eb": "grid", "#23426b": "deep", "#b5541c": "warm", "#c9ced4": "metal" };

function showPicture(figure, name, picture, caption) {
  const place = figure.querySelector(".picture");
  figure.querySelector("figcaption").textContent = caption;
  if (!picture) return place.replaceChildren();
  const themed = picture.replace(/#[0-9a-f]{6}/g, (colour) => COLOURS[colour] ? `var(--${COLOURS[colour]})` : colour);
  // What a picture refers to within itself goes by its own name.
  place.innerHTML = themed.replaceAll(' id="', ` id="${name}-`).replaceAll("url(#", `url(#${name}-`);
}
