const slider = document.getElementById("step");
const frames = document.querySelectorAll("#frames figure");
function show() {
  frames.forEach((frame, i) => { frame.hidden = i !== Number(slider.value); });
  const caption = frames[slider.value].dataset.state;
  document.getElementById("state").textContent = caption;
  slider.setAttribute("aria-valuetext", caption);
}
slider.addEventListener("input", show);
show();
