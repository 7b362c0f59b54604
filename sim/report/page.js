// Adds to the report what only a script can: values read along the pictures, all folds at once.
"use strict";

function readable(figure) {
  const spots = [...figure.querySelectorAll(".spot")];
  if (!spots.length) return;
  const svg = figure.querySelector("svg");
  const words = spots.map((spot) => spot.querySelector("title").textContent);
  const places = spots.map((spot) => [Number(spot.getAttribute("cx")), Number(spot.getAttribute("cy"))]);
  spots.forEach((spot) => spot.querySelector("title").remove());
  const row = document.createElement("div");
  row.className = "probe";
  const label = document.createElement("label");
  const slider = document.createElement("input");
  const said = document.createElement("span");
  slider.type = "range";
  slider.min = 0;
  slider.max = spots.length - 1;
  slider.step = 1;
  slider.value = 0;
  slider.setAttribute("aria-valuetext", words[0]);
  label.append("Read values ", slider);
  said.className = "said";
  said.setAttribute("aria-hidden", "true");
  said.textContent = "Move along the picture or the slider.";
  row.append(label, said);
  figure.querySelector("figcaption").before(row);
  const show = (index) => {
    spots.forEach((spot, i) => spot.classList.toggle("seen", i === index));
    slider.value = index;
    slider.setAttribute("aria-valuetext", words[index]);
    said.textContent = words[index];
  };
  slider.addEventListener("input", () => show(Number(slider.value)));
  slider.addEventListener("focus", () => show(Number(slider.value)));
  svg.addEventListener("pointermove", (event) => {
    const matrix = svg.getScreenCTM();
    if (!matrix) return;
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    let nearest = 0;
    let least = Infinity;
    places.forEach(([x, y], i) => {
      const away = Math.hypot(x - at.x, y - at.y);
      if (away < least) { least = away; nearest = i; }
    });
    show(nearest);
  });
}

function folds() {
  const all = [...document.querySelectorAll("details")];
  const place = document.querySelector("nav");
  if (!all.length || !place) return;
  const button = document.createElement("button");
  button.type = "button";
  const name = () => {
    const open = all.every((fold) => fold.open);
    button.textContent = open ? "Fold the details" : "Unfold all details";
    button.setAttribute("aria-pressed", String(open));
  };
  button.addEventListener("click", () => {
    const open = !all.every((fold) => fold.open);
    all.forEach((fold) => { fold.open = open; });
    name();
  });
  all.forEach((fold) => fold.addEventListener("toggle", name));
  name();
  place.append(button);
}

document.querySelectorAll("figure.picture").forEach(readable);
folds();
