// Words of the page in the language chosen. A further language is a further column of labels.json.

const labels = JSON.parse(document.getElementById("labels").textContent);
let language = "en";

function label(key, values = {}) {
  const words = labels[language][key] ?? key;
  return words.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "");
}

function setLanguage(name) {
  language = labels[name] ? name : "en";
  document.documentElement.lang = language;
  for (const element of document.querySelectorAll("[data-label]")) element.textContent = label(element.dataset.label);
  for (const element of document.querySelectorAll("[data-name]")) element.setAttribute("aria-label", label(element.dataset.name));
}

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) if (value !== false && value != null) made.setAttribute(name, value === true ? "" : value);
  made.append(...children);
  return made;
}

// What the reader chose is kept where the browser allows it.
const preference = {
  get(name) {
    try { return localStorage.getItem(`hoopwright.${name}`); } catch { return null; }
  },
  set(name, value) {
    try { localStorage.setItem(`hoopwright.${name}`, value); } catch { /* A page on disk may have no store. */ }
  },
};
