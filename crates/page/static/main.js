// The page: one text is the case; the form, the sliders and the text field change it; everything shown follows from it.

const FOLLOW_MS = 700;
const byId = (id) => document.getElementById(id);

async function unpacked() {
  const packed = Uint8Array.from(atob(byId("module").textContent.trim()), (c) => c.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return WebAssembly.compile(await new Response(stream).arrayBuffer());
}

async function openPage() {
  const module = await unpacked(), files = new Map();
  let desk = await openDesk(module, () => {});
  // A desk that failed is replaced, with the files that it had.
  const asked = (request) => {
    try {
      return desk.ask(request);
    } catch (error) {
      openDesk(module, () => {}).then((open) => {
        for (const [name, bytes] of files) open.attach(name, bytes);
        desk = open;
      });
      return { error: error.message };
    }
  };
  const form = asked({ ask: "form" });
  const texts = openHistory(form.example);
  const elements = openElements(module, files, elementsChanged);
  const fields = openForm(byId("form"), byId("sliders"), form.tables, edit);
  let read = null, reference = null, picture = null, waiting = 0, timer = 0;

  // ---- the text and what follows from it

  function edit(key, typed, from) {
    const answer = asked({ ask: "put", text: texts.text, key, typed });
    tell(answer.error);
    if (answer.error) return;
    texts.put(answer.text, `${from} ${key}`);
    follow();
  }

  // Reads the text once before the browser next draws, however many changes came.
  function follow() {
    if (byId("text").value !== texts.text) byId("text").value = texts.text;
    waiting ||= requestAnimationFrame(() => {
      waiting = 0;
      refresh();
    });
  }

  function refresh() {
    const answer = asked({ ask: "read", text: texts.text, unit: shown.pressure, width: scaleWidth() });
    if (answer.error) return tell(answer.error);
    read = answer;
    document.title = `${read.case?.title ?? label("faulty")} - Hoopwright`;
    fields.show(read);
    showFaults();
    showAnswers();
    if (read.case) elements.reach(texts.text, read.case.key);
    clearTimeout(timer);
    if (byId("follow").checked) timer = setTimeout(compute, FOLLOW_MS);
  }

  function compute() {
    const standing = elements.standing(read.case?.key);
    if (read.case && standing !== "current" && standing !== "computing") elements.assess(texts.text, read.case.key);
  }

  function tell(message) {
    byId("messages").textContent = message ?? "";
  }

  function showFaults() {
    const items = read.faults.map((fault) => {
      const go = element("button", { type: "button", class: "link" }, `${label("line", fault)}`);
      go.addEventListener("click", () => {
        const text = byId("text");
        text.focus();
        text.setSelectionRange(fault.start, Math.max(fault.end, fault.start + 1));
      });
      const way = element("button", { type: "button", class: "link" }, fault.key);
      way.addEventListener("click", () => fields.go(fault.key));
      return element("li", {}, go, " ", ...(fault.key ? [way, ": "] : []), `${fault.message}; ${fault.remedy}`);
    });
    const head = element("p", { class: items.length ? "fault" : "hint" }, label(items.length ? "faults" : "no_fault", { n: items.length }));
    byId("faults").replaceChildren(head, element("ul", { class: "fault" }, ...items));
    byId("text").setAttribute("aria-invalid", items.length > 0);
  }

  // ---- the answers

  function elementsChanged(what) {
    if (what === "progress") return showProgress();
    if (what === "done") fetchPictures();
    showAnswers();
  }

  // Key states reached for this very case.
  function near() {
    const { near: reached } = elements.now;
    return reached && reached.key === read?.case?.key && standing() !== "current" ? reached : null;
  }

  function standing() {
    return elements.standing(read?.case?.key);
  }

  function showProgress() {
    const { running } = elements.now;
    const news = running?.news;
    const seconds = running ? ((performance.now() - running.since) / 1000).toFixed(0) : "";
    if (running) byId("status").textContent = news
      ? label("progress_at", { path: news.path, stage: label(`stage/${news.stage}`), pressure: quantity("pressure", news.pressure_mpa), points: running.points, seconds })
      : label("begins");
  }

  function showAnswers() {
    const state = standing(), { done, failure, running } = elements.now;
    const answer = state === "current" ? done.document : null;
    byId("mark").textContent = label(`mark/${read?.case ? state : "faulty"}`);
    byId("mark").className = `mark ${markClass(state)}`;
    byId("progress").hidden = !running;
    byId("stop").disabled = !running;
    byId("compute").disabled = !read?.case || state === "current" || state === "computing";
    byId("status").textContent = state === "failed" ? failure.error : state === "current" ? label("took", { seconds: done.seconds.toFixed(1) }) : label(`about/${read?.case ? state : "faulty"}`);
    if (running) showProgress();
    showVerdict(answer, state);
    byId("numbers").replaceChildren(numbersTable(read ?? {}, state, done, reference, near()));
    byId("guards").textContent = read?.case?.estimate_fault ? label("no_estimate", { reason: read.case.estimate_fault }) : form.estimate_guards;
    byId("limits").replaceChildren(...(answer ? [element("h3", {}, label("limits")), limitsTable(answer)] : []));
    byId("differences").replaceChildren(...(reference && read?.case ? [element("h3", {}, label("differences")), element("p", {}, label("held_case", { title: reference.case.title })), differingInputs(read, reference)] : []));
    byId("undo").disabled = !texts.canUndo;
    byId("redo").disabled = !texts.canRedo;
    byId("hold").disabled = !read?.case;
    // A text with faults cannot become the reference.
    byId("swap").disabled = !reference || !read?.case;
    byId("release").disabled = !reference;
    for (const id of ["report", "json"]) byId(id).disabled = !answer;
    showNotes(answer);
    showScale(state);
    showPictures(state);
  }

  function showVerdict(answer, state) {
    const verdict = byId("verdict");
    const words = answer ? answer.verdict.map((word) => labels[language][`finding/${word}`] ?? word).join("; ") : label(read?.case ? `no_verdict/${state}` : "no_verdict/faulty");
    verdict.textContent = answer ? label("verdict", { words }) : words;
    verdict.className = `verdict ${answer ? (answer.verdict[0] === "holds" ? "" : "not") : "open"}`;
    byId("allowed").textContent = answer ? allowedSentence(answer) : "";
  }

  function showNotes(answer) {
    const notes = answer?.notes ?? read?.case?.notes ?? [];
    byId("notes").replaceChildren(...(notes.length ? [element("h3", {}, label("notes")), element("ul", {}, ...notes.map((note) => element("li", {}, note)))] : []));
  }

  function scaleWidth() {
    return Math.max(300, Math.min(900, byId("scale").clientWidth - 2));
  }

  async function showScale(state) {
    if (state !== "current") return showPicture(byId("scale"), "scale", read?.case?.scale, label("scale_estimate"));
    const [unit, wide] = [shown.pressure, scaleWidth()];
    const answer = await elements.ask({ ask: "scale", unit, width: wide });
    const asked = unit === shown.pressure && wide === scaleWidth() && standing() === "current";
    if (answer.picture && asked) showPicture(byId("scale"), "scale", answer.picture, label("scale_elements"));
  }

  // ---- the section, the ring, the law

  async function fetchPictures() {
    const { done } = elements.now;
    picture = { key: done.key, point: done.moments.rated ?? done.moments.highest ?? done.states.length - 1, of: done };
    await fetchSection();
  }

  async function fetchSection() {
    const wanted = picture;
    const answer = await elements.ask({ ask: "section", point: wanted.point });
    if (picture !== wanted || answer.point !== wanted.point) return;
    picture.section = answer.picture;
    showPictures(standing());
  }

  function caption(done, point, state) {
    const { pressure_mpa, lift_mm } = done.states[point];
    const words = label("state_at", { pressure: quantity("pressure", pressure_mpa), lift: quantity("length", lift_mm) });
    return state === "current" || state === "held" ? words : `${label("mark/outdated")}: ${words}`;
  }

  function showPictures(state) {
    const done = picture?.of, live = picture?.key === elements.now.done?.key;
    const slide = byId("point");
    slide.disabled = !live;
    slide.min = done?.fit ?? 0;
    slide.max = done ? done.states.length - 1 : 0;
    slide.value = picture?.point ?? 0;
    byId("place").textContent = done ? caption(done, picture.point, state) : "-";
    slide.setAttribute("aria-valuetext", byId("place").textContent);
    byId("moments").replaceChildren(...(done ? momentButtons(done, live) : []));
    const reached = near()?.section ? near() : null;
    const words = reached ? `${label("mark/near")}: ${label("state_at", { pressure: quantity("pressure", read.case.rated_mpa), lift: quantity("length", reached.bead.lift_mm) })}` : done ? caption(done, picture.point, state) : label("no_section");
    showPicture(byId("picture"), "section", reached?.section ?? picture?.section, words);
    byId("picture").classList.toggle("stale", state !== "current" && Boolean(reached ?? picture?.section));
    for (const name of ["ring", "law", "path"]) {
      const told = !done ? label("no_picture") : !done[name] ? label("picture_not_found") : state === "current" ? label("elements_picture") : label("mark/outdated");
      showPicture(byId(name), name, done?.[name], told);
    }
    byId("reference").hidden = !reference?.section;
    if (reference?.section) showPicture(byId("reference"), "held", reference.section, `${label("reference")}: ${caption(reference.done, reference.point, "held")}`);
  }

  function momentButtons(done, live) {
    return ["fitted", "rated", "highest"].map((moment) => {
      const point = done.moments[moment];
      const button = element("button", { type: "button", disabled: !live || point == null, "aria-pressed": picture.point === point }, label(`moment/${moment}`));
      button.addEventListener("click", () => movePoint(point));
      return button;
    });
  }

  function movePoint(point) {
    picture = { ...picture, point };
    fetchSection();
  }

  // ---- files, reference, display

  function open(text, from) {
    texts.put(text, from);
    follow();
  }

  async function take(name, bytes) {
    tell("");
    const ending = name.toLowerCase().split(".").pop();
    if (ending === "toml") {
      try {
        return open(new TextDecoder("utf-8", { fatal: true }).decode(bytes).replace(/^\uFEFF/, ""), `load ${name}`);
      } catch {
        return tell(label("no_text", { name }));
      }
    }
    if (!["dxf", "msh", "csv"].includes(ending)) return tell(label("no_use", { name }));
    // A case may name a file of its folder: it stands for any place of that name.
    const wanted = read.wanted.find((path) => path.split("/").pop() === name) ?? name;
    files.set(wanted, bytes);
    desk.attach(wanted, bytes);
    elements.attach();
    if (ending !== "csv" && read.given["section.drawing"] !== wanted) {
      const answer = asked({ ask: "draw", text: texts.text, name: wanted });
      if (answer.error) return tell(answer.error);
      return open(answer.text, `drop ${name}`);
    }
    if (ending === "csv" && !read.given["local.heights"]) return edit("local.heights", wanted, "drop");
    refresh();
  }

  function hold() {
    const current = standing() === "current";
    reference = { text: texts.text, case: read.case, done: current ? elements.now.done : null };
    if (current && picture?.key === read.case.key) Object.assign(reference, { section: picture.section, point: picture.point });
    showAnswers();
  }

  function swap() {
    const { text } = reference;
    hold();
    open(text, "swap");
  }

  const save = () => download(fileName(read.case?.title ?? "case", "toml"), "application/toml", texts.text);
  const move = (step) => { texts.move(step); follow(); };
  const example = (name) => open(form[name], name);
  const actions = {
    load: () => byId("file").click(), save, undo: () => move(-1), redo: () => move(1),
    example: () => example("example"), starter: () => example("starter"),
    compute, stop: () => elements.stop(), hold, swap, release: () => { reference = null; showAnswers(); },
    report: () => download(fileName(read.case.title, "html"), "text/html", elements.now.done.report),
    json: () => download(fileName(read.case.title, "json"), "application/json", elements.now.done.result),
  };
  for (const [id, action] of Object.entries(actions)) byId(id).addEventListener("click", action);

  const keys = [["Ctrl+S", "s", false, save, "save"], ["Ctrl+O", "o", false, actions.load, "load"], ["Ctrl+Z", "z", false, actions.undo, "undo"], ["Ctrl+Y", "y", false, actions.redo, "redo"], ["Ctrl+Shift+Z", "z", true, actions.redo, "redo"], ["Ctrl+Enter", "enter", false, compute, "compute"], ["Esc", "escape", false, actions.stop, "stop"]];
  addEventListener("keydown", (event) => {
    const held = event.ctrlKey || event.metaKey;
    const found = keys.find(([name, key, shift]) => event.key.toLowerCase() === key && held === (name !== "Esc") && event.shiftKey === shift);
    if (!found || event.altKey) return;
    event.preventDefault();
    found[3]();
  });

  function choose(id, start, then) {
    const control = byId(id);
    control.value = preference.get(id) ?? start;
    if (control.selectedIndex < 0) control.value = start;
    const chosen = () => { preference.set(id, control.value); then(control.value); };
    control.addEventListener("change", () => { chosen(); showAll(); });
    then(control.value);
  }

  function showAll() {
    byId("caution").textContent = form.cautions[0];
    byId("cautions").replaceChildren(...[...form.cautions, label("approves_nothing")].map((words) => element("li", {}, words)));
    byId("version").textContent = `Hoopwright ${form.version}`;
    byId("keys").replaceChildren(...keys.map(([name, , , , key]) => element("tr", {}, element("th", { scope: "row" }, element("kbd", {}, name)), element("td", {}, label(key)))));
    refresh();
  }

  for (const name of Object.keys(labels)) byId("language").append(element("option", { value: name }, labels[name]["own_name"]));
  choose("language", navigator.language?.slice(0, 2) in labels ? navigator.language.slice(0, 2) : "en", setLanguage);
  choose("pressure", "bar", (unit) => { shown.pressure = unit; });
  choose("length", "mm", (unit) => { shown.length = unit; });
  choose("appearance", "", (theme) => { document.documentElement.dataset.theme = theme; });
  byId("text").addEventListener("input", () => open(byId("text").value, "text"));
  byId("follow").addEventListener("change", refresh);
  byId("point").addEventListener("input", () => movePoint(Number(byId("point").value)));
  takeFiles(byId("file"), take);
  let width = scaleWidth();
  new ResizeObserver(() => {
    if (width === scaleWidth()) return;
    width = scaleWidth();
    follow();
  }).observe(byId("scale"));
  byId("text").value = texts.text;
  showAll();
  // Milliseconds since the page began to open.
  document.documentElement.dataset.ready = performance.now().toFixed(0);
}

openPage().catch((error) => {
  byId("messages").textContent = `This browser cannot run the page: ${error.message}`;
});
