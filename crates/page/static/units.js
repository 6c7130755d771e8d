// Numbers as shown. Inside the page pressures are MPa, lengths mm, forces N.

const MM_PER_INCH = 25.4, BAR_PER_MPA = 10, PSI_PER_MPA = 25.4 * 25.4 / 4.4482216152605;
const shown = { pressure: "bar", length: "mm" };

// As the report rounds: four significant digits or so.
function plain(x) {
  const size = Math.abs(x);
  if (size === 0) return "0";
  if (size < 1e-3) return x.toExponential(1);
  return x.toFixed(size < 10 ? 3 : size < 1000 ? 1 : 0);
}

// Of each kind of number: its unit and its digits.
const KINDS = {
  pressure: { unit: () => shown.pressure, show: (x) => shown.pressure === "bar" ? (BAR_PER_MPA * x).toFixed(2) : (PSI_PER_MPA * x).toFixed(1) },
  length: { unit: () => shown.length, show: (x) => shown.length === "mm" ? plain(x) : (x / MM_PER_INCH).toFixed(4) },
  force: { unit: () => "N", show: plain },
  line: { unit: () => "N/mm", show: plain },
  share: { unit: () => "%", show: (x) => plain(100 * x) },
};

function number(kind, x) {
  return x == null || !Number.isFinite(x) ? "-" : KINDS[kind].show(x);
}

function quantity(kind, x) {
  return `${number(kind, x)} ${KINDS[kind].unit()}`;
}
