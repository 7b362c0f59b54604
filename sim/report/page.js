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

function states() {
  // One choice for all tables that set the craft as built beside other states of it.
  const tables = [...document.querySelectorAll("table.states")];
  const all = "all side by side";
  const rows = [];
  const show = (wanted) => {
    tables.forEach((table) => {
      const names = [...table.tHead.rows[0].cells].map((cell) => cell.textContent);
      const column = names.indexOf(wanted);
      [...table.rows].forEach((row) => {
        [...row.cells].forEach((cell, i) => {
          cell.hidden = column > 1 && i > 1 && i !== column;
          cell.classList.toggle("chosen", column > 1 && i === column);
        });
        const differs = column > 1 && row.cells[column].textContent !== row.cells[1].textContent;
        row.classList.toggle("differs", differs && row.parentNode === table.tBodies[0]);
      });
    });
    rows.forEach((inputs) => inputs.forEach((input) => { input.checked = input.value === wanted; }));
  };
  tables.forEach((table, number) => {
    const names = [all, ...[...table.tHead.rows[0].cells].slice(2).map((cell) => cell.textContent)];
    const field = document.createElement("fieldset");
    const legend = document.createElement("legend");
    field.className = "choice";
    legend.textContent = "Set beside the craft as built:";
    field.append(legend);
    rows.push(names.map((name) => {
      const label = document.createElement("label");
      const input = document.createElement("input");
      input.type = "radio";
      input.name = `states-${number}`;
      input.value = name;
      input.checked = name === all;
      input.addEventListener("change", () => show(name));
      label.append(input, ` ${name}`);
      field.append(label);
      return input;
    }));
    table.parentNode.before(field);
  });
}

function places(path) {
  return [...path.getAttribute("d").matchAll(/(-?[\d.]+) (-?[\d.]+)/g)].map((pair) => [Number(pair[1]), Number(pair[2])]);
}

function swinging(figure) {
  // The fabric moves as it swings between the two ends that are drawn; only where motion is wanted.
  const strips = new Map();
  figure.querySelectorAll('g[id*="swing_"]').forEach((group) => {
    const parts = group.id.match(/swing_(\d+_\d+)_([abq])_(\d+)$/);
    const path = group.querySelector("path");
    if (!parts || !path) return;
    const strip = strips.get(parts[1]) ?? { rate: Number(parts[3]) / 1000 };
    strips.set(parts[1], { ...strip, [parts[2]]: { group, at: places(path) } });
  });
  const whole = [...strips.values()].filter(({ a, b, q }) => a && b && q && a.at.length === b.at.length && a.at.length === q.at.length);
  if (!whole.length || window.matchMedia("(prefers-reduced-motion: reduce)").matches) return;
  const button = document.createElement("button");
  const row = document.createElement("div");
  let moving = [];
  let began = null;
  const draw = (now) => {
    if (!moving.length) return;
    began ??= now;
    moving.forEach(({ line, rate, a, b, q }) => {
      const turn = 2 * Math.PI * rate * (now - began) / 1000;
      const [x, y] = [Math.cos(turn), Math.sin(turn)];
      line.setAttribute("points", a.at.map((end, i) => [0, 1].map((k) => {
        const middle = 0.5 * (end[k] + b.at[i][k]);
        return (middle + (end[k] - middle) * x + (q.at[i][k] - middle) * y).toFixed(2);
      }).join(",")).join(" "));
    });
    requestAnimationFrame(draw);
  };
  const name = () => {
    button.textContent = moving.length ? "Show the two ends" : "Show it swing";
    button.setAttribute("aria-pressed", String(moving.length > 0));
  };
  button.type = "button";
  row.className = "probe";
  button.addEventListener("click", () => {
    const start = !moving.length;
    moving.forEach(({ line }) => line.remove());
    moving = [];
    began = null;
    whole.forEach(({ a, b }) => [a, b].forEach(({ group }) => { group.style.opacity = start ? 0.15 : ""; }));
    if (start) {
      moving = whole.map((strip) => {
        const line = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
        line.setAttribute("class", "moving");
        strip.a.group.after(line);
        return { ...strip, line };
      });
      requestAnimationFrame(draw);
    }
    name();
  });
  name();
  row.append(button);
  figure.querySelector("figcaption").before(row);
}

document.querySelectorAll("figure.picture").forEach(readable);
document.querySelectorAll("figure.picture.swings").forEach(swinging);
folds();
states();
