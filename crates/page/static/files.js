// Files in and out; all stay on the machine.

function download(name, type, content) {
  const address = URL.createObjectURL(new Blob([content], { type }));
  element("a", { href: address, download: name }).click();
  // The browser reads it after the click.
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}

// A file's name from a title.
function fileName(title, ending) {
  const safe = title.normalize("NFKD").replace(/[^A-Za-z0-9]+/g, "_").replace(/^_+|_+$/g, "").slice(0, 60);
  return `${safe || "case"}.${ending}`;
}

// Hands over each file dropped onto the page or chosen.
function takeFiles(chooser, take) {
  const all = async (list) => {
    for (const file of list) await take(file.name, new Uint8Array(await file.arrayBuffer()));
  };
  chooser.addEventListener("change", () => all([...chooser.files]).finally(() => { chooser.value = ""; }));
  addEventListener("dragover", (event) => {
    if (![...event.dataTransfer.types].includes("Files")) return;
    event.preventDefault();
    document.body.classList.add("over");
  });
  addEventListener("dragleave", (event) => { if (!event.relatedTarget) document.body.classList.remove("over"); });
  addEventListener("drop", (event) => {
    document.body.classList.remove("over");
    if (!event.dataTransfer.files.length) return;
    event.preventDefault();
    all([...event.dataTransfer.files]);
  });
}
