"use strict";
// Sends the newest slider values, one request at a time, and shows what comes back as text.
const start = JSON.parse(document.getElementById("start").textContent);
const state = document.getElementById("state");
const moved = {};
let busy = false;
let again = false;

function make(tag, text, name) {
  const element = document.createElement(tag);
  if (text !== undefined) element.textContent = text;
  if (name) element.className = name;
  return element;
}

function shown(slider, value) {
  return `${Number(value.toPrecision(6))} ${slider.unit}`;
}

for (const slider of start.sliders) {
  const box = make("div", undefined, "slider");
  const label = make("label");
  const value = make("output", shown(slider, slider.value));
  const input = document.createElement("input");
  Object.assign(input, { type: "range", min: slider.low, max: slider.high, step: "any", value: slider.value });
  input.name = slider.key;
  input.setAttribute("aria-label", slider.label);
  input.setAttribute("aria-valuetext", value.textContent);
  const take = (wanted) => {
    const snapped = Math.round(wanted / slider.step) * slider.step;
    const kept = Math.min(slider.high, Math.max(slider.low, snapped));
    moved[slider.key] = Number(kept.toPrecision(9));
    input.value = String(moved[slider.key]);
    value.textContent = shown(slider, moved[slider.key]);
    input.setAttribute("aria-valuetext", value.textContent);
    ask();
  };
  input.addEventListener("input", () => take(Number(input.value)));
  input.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 5, PageDown: -5 }[event.key];
    if (!step) return;
    event.preventDefault();
    take(Number(input.value) + step * slider.step);
  });
  label.append(make("span", slider.label), value);
  box.append(label, input);
  document.getElementById("sliders").append(box);
}

function badge(one) {
  return one.standing ? make("span", one.standing, `badge ${one.state}`) : make("span");
}

function show(data) {
  const bars = data.bars.map((bar) => {
    const row = make("div", undefined, "bar");
    const track = make("div", undefined, "track");
    const fill = make("div", undefined, "fill");
    fill.style.width = `${100 * bar.share}%`;
    track.append(fill);
    if (bar.limit !== null) {
      const limit = make("div", undefined, "limit");
      limit.style.left = `${100 * bar.limit}%`;
      track.append(limit);
    }
    row.append(make("span", bar.label), track, make("span", bar.text));
    return row;
  });
  document.getElementById("bars").replaceChildren(...bars);
  document.getElementById("wind").textContent = data.wind;
  document.getElementById("answers").replaceChildren(...data.sections.map((section) => {
    const box = make("section");
    const title = make("h2", `${section.question} `);
    title.append(badge(section));
    box.append(title, make("p", section.answer, "answer"));
    const table = make("table", undefined, "readings");
    const body = make("tbody");
    table.append(body);
    for (const one of section.readings) {
      const row = make("tr");
      const head = make("th", one.label);
      head.scope = "row";
      const judged = make("td");
      judged.append(badge(one));
      row.append(head, make("td", one.text, "value"), make("td", one.limit), judged);
      row.dataset.label = one.label;
      body.append(row);
    }
    box.append(table);
    if (section.table) {
      const margins = make("table");
      margins.setAttribute("aria-label", section.table.caption);
      const [head, rows, top] = [make("thead"), make("tbody"), make("tr")];
      top.append(...section.table.columns.map((word) => Object.assign(make("th", word), { scope: "col" })));
      head.append(top);
      for (const one of section.table.rows) {
        const row = make("tr");
        row.append(...one.cells.map((cell, i) => (i
          ? make("td", cell, cell.length < 13 ? "short" : "")
          : Object.assign(make("th", cell, "brief"), { scope: "row" }))));
        rows.append(row);
      }
      margins.append(head, rows);
      const around = make("div", undefined, "scroll");
      around.setAttribute("role", "region");
      around.setAttribute("aria-label", section.table.caption);
      around.tabIndex = 0;
      around.append(margins);
      box.append(make("p", section.table.caption, "caption"), around);
    }
    return box;
  }));
  state.className = "";
  state.textContent = `Computed in ${data.seconds.toFixed(2)} s.`;
}

async function ask() {
  if (busy) { again = true; return; }
  busy = true;
  state.classList.add("busy");
  const query = new URLSearchParams(Object.entries(moved).map(([key, value]) => [key, String(value)]));
  try {
    const answer = await fetch(`figures?${query}`, { headers: { "x-key": start.key } });
    const data = await answer.json();
    if (answer.ok) show(data);
    else { state.className = "fault"; state.textContent = data.fault; }
  } catch (problem) {
    state.className = "fault";
    state.textContent = "The program that computes is not running any more.";
  }
  busy = false;
  document.body.dataset.asked = String(Number(document.body.dataset.asked || 0) + 1);
  if (again) { again = false; ask(); }
}

document.getElementById("save").addEventListener("click", async () => {
  const saved = document.getElementById("saved");
  const answer = await fetch("save", {
    method: "POST",
    headers: { "x-key": start.key, "content-type": "application/json" },
    body: JSON.stringify({ name: document.getElementById("name").value, moved }),
  });
  const data = await answer.json();
  saved.textContent = answer.ok ? `Saved as ${data.saved}.` : data.fault;
});
ask();
