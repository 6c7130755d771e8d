"use strict";
const table = document.getElementById("matrix"), body = table.tBodies[0], rows = [...body.rows];
const heads = [...table.tHead.rows[0].cells], detail = document.getElementById("detail");
const order = ["k0", "k1", "k2", "k3", "k4", "k5"];
const pressure = cell => parseFloat((cell.textContent.match(/up to ([0-9.]+)/) || [0, 0])[1]);
// Of a column: a number, a finding with its pressure, or else words.
function key(row, by) {
  const cell = row.cells[by];
  if (by === 0) return cell.textContent;
  return by < 3 ? parseFloat(cell.textContent) : order.indexOf(cell.className.slice(0, 2)) - pressure(cell) / 1000;
}
function sort(by) {
  const down = heads[by].getAttribute("aria-sort") === "ascending";
  heads.forEach(head => head.removeAttribute("aria-sort"));
  heads[by].setAttribute("aria-sort", down ? "descending" : "ascending");
  const compare = (a, b) => by === 0 ? a[0].localeCompare(b[0], undefined, { numeric: true }) : a[0] - b[0];
  const list = rows.map(row => [key(row, by), row]).sort((a, b) => (down ? -1 : 1) * compare(a, b));
  list.forEach(pair => body.append(pair[1]));
}
function filter() {
  const [word, kind, rim] = ["find", "kind", "rim"].map(id => document.getElementById(id).value);
  let left = 0;
  for (const row of rows) {
    const cells = [...row.cells].slice(3).filter((_, i) => rim === "" || i === Number(rim));
    const named = row.cells[0].textContent.toLowerCase().includes(word.toLowerCase());
    row.hidden = !(named && (kind === "" || cells.some(cell => cell.classList.contains(kind))));
    left += row.hidden ? 0 : 1;
  }
  document.getElementById("shown").textContent = left + " of " + rows.length + " tyres";
}
function make(name, text) {
  const element = document.createElement(name);
  if (text !== undefined) element.textContent = text;
  return element;
}
// The pressures of a pair on a scale.
function scale(marks) {
  const known = marks.filter(mark => mark[1] !== null), end = 1.1 * Math.max(...known.map(mark => mark[1]));
  const ns = document.querySelector("svg").namespaceURI, svg = document.createElementNS(ns, "svg");
  svg.setAttribute("viewBox", "0 0 480 " + (30 + 24 * known.length));
  const add = (name, attributes, text) => {
    const element = document.createElementNS(ns, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (text !== undefined) element.textContent = text;
    svg.append(element);
  };
  known.forEach(([name, value], i) => {
    const y = 16 + 24 * i, long = 250 * value / end;
    const fill = name.startsWith("required") ? "none" : "#23426b", opacity = name === "allowed" ? 0.9 : 0.45;
    add("rect", { x: 160, y: y - 8, width: long, height: 14, fill, stroke: "#23426b", "fill-opacity": opacity });
    add("text", { x: 154, y: y + 4, "text-anchor": "end", "font-size": 13 }, name);
    add("text", { x: 164 + long, y: y + 4, "font-size": 13 }, value.toFixed(2) + " bar");
  });
  return svg;
}
function choose(cell, pair) {
  table.querySelectorAll(".chosen").forEach(other => other.classList.remove("chosen"));
  cell.classList.add("chosen");
  const list = make("table"), numbers = list.createTBody();
  for (const [name, value] of pair.rows) {
    const row = numbers.insertRow();
    row.append(make("td", name), make("td", value));
  }
  detail.replaceChildren(make("h3", pair.name), ...(pair.marks ? [scale(pair.marks)] : []), list);
  detail.scrollIntoView({ block: "nearest" });
}
table.addEventListener("click", event => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.by) sort(Number(button.dataset.by));
  else choose(button.closest("td"), pairs[Number(button.dataset.pair)]);
});
["find", "kind", "rim"].forEach(id => document.getElementById(id).addEventListener("input", filter));
filter();
