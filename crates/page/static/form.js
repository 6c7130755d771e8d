// The form, made from the table of inputs: a field for each, what stands where nothing is typed, and its faults beside it.

// Inputs with sliders: the table's unit, and where the slide ends; `about` counts from another input.
const SLIDERS = [
  { path: "bead.diameter", from: -6, to: 1, step: 0.05, about: "rim.seat_diameter", unit: 1 },
  { path: "bead.stiffness", from: 50, to: 1000, step: 5, unit: 1000 },
  { path: "contact.friction", from: 0, to: 0.8, step: 0.01, unit: 1 },
  { path: "rim.flange_height", from: 3, to: 9, step: 0.1, unit: 1 },
  { path: "pressure.rated", from: 0.5, to: 9, step: 0.1, unit: 0.1 },
];
// Tables that are open at first.
const OPEN = ["rim", "bead", "pressure"];
// A number with its unit, as typed.
const TYPED = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$/;

function openForm(place, sliders, tables, edit) {
  const fields = new Map(), boxes = new Map(), slides = [];
  for (const table of tables) {
    if (!table.inputs.length) continue;
    const box = element("details", { open: OPEN.includes(table.name) || !table.name });
    const head = element("summary", {}, table.name ? `[${table.name}]` : element("span", { "data-label": "general" }, label("general")), element("span", { class: "count" }));
    box.append(head, element("p", { class: "hint" }, table.meaning));
    for (const input of table.inputs) {
      const field = openField(input, (typed) => edit(input.path, typed, "form"));
      fields.set(input.path, field);
      box.append(field.row);
    }
    boxes.set(table.name, { box, head });
    place.append(box);
  }
  for (const slider of SLIDERS) slides.push(openSlider(slider, sliders, (typed) => edit(slider.path, typed, "slider")));
  return {
    // Shows what was read of a text.
    show(read) {
      for (const [path, field] of fields) field.show(read, path);
      for (const slide of slides) slide.show(read);
      for (const [name, { box, head }] of boxes) {
        const faults = read.faults.filter((fault) => fault.key === name || fault.key.startsWith(`${name}.`) && name).length;
        head.lastChild.textContent = faults ? ` ${label("faults_here", { n: faults })}` : "";
        box.classList.toggle("wrong", faults > 0);
      }
    },
    // Leads to a field.
    go(path) {
      const field = fields.get(path);
      if (!field) return false;
      field.row.closest("details").open = true;
      field.control.focus();
      return true;
    },
  };
}

function openField(input, edit) {
  const id = `in-${input.path}`;
  const control = input.words
    ? element("select", { id }, element("option", { value: "" }), ...input.words.map((word) => element("option", { value: word }, word)))
    : element("input", { id, type: "text", autocomplete: "off", spellcheck: "false" });
  const fault = element("p", { class: "fault", id: `${id}-fault` });
  const about = element("p", { class: "hint", id: `${id}-about` });
  control.setAttribute("aria-describedby", `${id}-fault ${id}-about`);
  const name = element("label", { for: id }, input.key.replaceAll("_", " "));
  const row = element("div", { class: "field" }, name, control, fault, about);
  control.addEventListener(input.words ? "change" : "input", () => edit(control.value));
  const show = (read, path) => {
    const value = read.given[path] ?? "", stands = read.case?.values[path]?.shown;
    // A caret in the field stays where it is.
    if (control.value !== value && !(document.activeElement === control && control.value.trim() === value)) control.value = value;
    control.disabled = !read.readable;
    const standing = stands ?? (["required", "one of", "instead", "optional"].includes(input.need) ? "" : input.stands);
    if (input.words) control.options[0].textContent = standing;
    else control.placeholder = standing;
    const faults = read.faults.filter((fault) => fault.key === path);
    control.setAttribute("aria-invalid", faults.length > 0);
    fault.textContent = faults.map((fault) => `${fault.message}; ${fault.remedy}`).join(" ");
    row.classList.toggle("wrong", faults.length > 0);
    row.classList.toggle("given", value !== "");
    about.textContent = aboutInput(input, read.case?.values[path]?.from);
  };
  return { row, control, show };
}

// Meaning, range, units and the default with its source.
function aboutInput(input, from) {
  const range = input.range ? ` (${input.range})` : "";
  const units = input.units.length > 1 ? ` ${label("units", { list: input.units.join(", ") })}` : "";
  return `${input.meaning}${range}.${units} ${label(`need/${input.need}`, input)}${from?.kind === "drawn" ? ` ${label("drawn")}` : ""}`;
}

function openSlider(slider, place, edit) {
  const id = `slide-${slider.path}`;
  const control = element("input", { id, type: "range", step: "any" });
  const value = element("output", { for: id });
  const name = slider.path.replace(".", " ").replaceAll("_", " ");
  place.append(element("div", { class: "slide" }, element("label", { for: id }, name), value, control));
  let typed = null;
  const written = (x) => {
    const places = Math.max(0, Math.ceil(-Math.log10(slider.step * typed.ratio)));
    return `${x.toFixed(Math.min(places, 6))} ${typed.unit}`.trim();
  };
  control.addEventListener("input", () => {
    if (typed) edit(written(Number(control.value)));
  });
  return {
    show(read) {
      typed = asTyped(read, slider);
      control.disabled = !typed || !read.readable;
      value.textContent = read.given[slider.path] ?? read.case?.values[slider.path]?.shown ?? "-";
      if (!typed) return;
      control.min = Math.min(typed.from, typed.x);
      control.max = Math.max(typed.to, typed.x);
      control.step = slider.step * typed.ratio;
      if (document.activeElement !== control || Math.abs(Number(control.value) - typed.x) > 0.51 * slider.step * typed.ratio) control.value = typed.x;
      control.setAttribute("aria-valuetext", value.textContent);
    },
  };
}

// The value as typed with its unit, and the ends of the slide in that unit; nothing where a slider has no number to move. `ratio` is how many
// of the typed unit make one of the table's.
function asTyped(read, slider) {
  const known = read.case?.values[slider.path];
  if (!known || known.number == null) return null;
  const given = read.given[slider.path];
  if (given == null && known.from?.kind !== "default") return null;
  const parts = TYPED.exec(given ?? known.shown);
  if (!parts) return null;
  const x = Number(parts[1]);
  const ratio = known.number !== 0 ? x * slider.unit / known.number : 1;
  const base = slider.about ? read.case.values[slider.about]?.number ?? 0 : 0;
  return { x, unit: parts[2], ratio, from: (base / slider.unit + slider.from) * ratio, to: (base / slider.unit + slider.to) * ratio };
}
