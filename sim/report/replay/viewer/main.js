// Starts the replay on a page that carries its flights as data, and ties its controls together.

import { between, readFlight } from "./data.js";
import { CraftScene } from "./scene.js";
import { Strip } from "./strip.js";

const SMALL_STEP_S = 0.1;
const STEP_S = 1;
const LARGE_STEP_S = 10;

async function start(root) {
  const find = (name) => root.querySelector(`[data-replay="${name}"]`);
  const data = JSON.parse(find("data").textContent);
  const flights = await Promise.all(data.flights.map(readFlight));
  const canvas = find("canvas");
  const isDark = window.matchMedia("(prefers-color-scheme: dark)").matches;
  let scene;
  try {
    scene = new CraftScene(canvas, data.craft, isDark);
  } catch (problem) {
    find("message").hidden = false;
    canvas.hidden = true;
    scene = null;
  }
  let flight = flights[0];
  let time = 0;
  let playing = false;
  let last = 0;
  const scrub = find("scrub");
  const strip = new Strip(find("strip"), (share) => go(share * end()));
  const end = () => (flight.channel.time.length - 1) * flight.interval_s;

  const words = () => {
    const position = time / flight.interval_s;
    const at = (name) => between(flight.channel[name], position);
    const thrust = data.craft.rotors.reduce((sum, _, i) => sum + at(`thrust_${i}`), 0);
    const wind = Math.hypot(at("wind_north"), at("wind_east"));
    const lean = Math.acos(Math.cos(at("roll")) * Math.cos(at("pitch"))) * 180 / Math.PI;
    return `${time.toFixed(1)} s: height ${at("height").toFixed(2)} m, ${at("away").toFixed(2)} m from`
      + ` its place, leans ${lean.toFixed(0)} deg, wind ${wind.toFixed(1)} m/s,`
      + ` thrust ${thrust.toFixed(0)} N, ${at("pack_current").toFixed(0)} A`;
  };
  const draw = () => {
    if (scene) {
      scene.place(flight, time / flight.interval_s, find("camera").value === "follow");
      scene.draw();
    }
    strip.draw(end() > 0 ? time / end() : 0);
    scrub.value = String(time);
    const text = words();
    scrub.setAttribute("aria-valuetext", text);
    find("now").textContent = text;
  };
  const go = (seconds) => {
    time = Math.max(0, Math.min(seconds, end()));
    draw();
  };
  const play = (on) => {
    playing = on && time < end();
    find("play").textContent = playing ? "Pause" : "Play";
    if (playing) {
      last = performance.now();
      requestAnimationFrame(tick);
    }
  };
  function tick(now) {
    if (!playing) return;
    const pace = Number(find("pace").value);
    time = Math.min(time + (pace * (now - last)) / 1000, end());
    last = now;
    draw();
    if (time >= end()) play(false);
    else requestAnimationFrame(tick);
  }
  const choose = (index) => {
    flight = flights[index];
    time = 0;
    play(false);
    scrub.max = String(end());
    find("about").textContent = flight.about;
    const list = find("events");
    list.replaceChildren(...flight.events.map((event) => {
      const item = document.createElement("li");
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = `${event.time_s.toFixed(1)} s: ${event.words}`;
      button.addEventListener("click", () => { play(false); go(event.time_s); });
      item.append(button);
      return item;
    }));
    strip.show(flight);
    if (scene) scene.show(flight);
    draw();
  };

  find("play").addEventListener("click", () => {
    if (time >= end()) time = 0;
    play(!playing);
  });
  scrub.addEventListener("input", () => { play(false); go(Number(scrub.value)); });
  scrub.addEventListener("keydown", (event) => {
    const steps = { ArrowRight: STEP_S, ArrowUp: STEP_S, ArrowLeft: -STEP_S, ArrowDown: -STEP_S,
      PageUp: LARGE_STEP_S, PageDown: -LARGE_STEP_S, ".": SMALL_STEP_S, ",": -SMALL_STEP_S };
    let target = null;
    if (event.key in steps) target = time + steps[event.key];
    else if (event.key === "Home") target = 0;
    else if (event.key === "End") target = end();
    if (target === null) return;
    event.preventDefault();
    play(false);
    go(target);
  });
  find("flight").addEventListener("change", (event) => choose(Number(event.target.value)));
  find("camera").addEventListener("change", () => { if (scene) { scene.aim(); } draw(); });
  if (scene) scene.controls.addEventListener("change", () => { if (!playing) scene.render(); });
  new ResizeObserver(draw).observe(canvas.hidden ? find("strip") : canvas);
  find("controls").hidden = false;
  choose(0);
  root.dataset.ready = "yes";
}

for (const root of document.querySelectorAll("[data-replay-root]")) {
  start(root).catch((problem) => {
    const message = root.querySelector('[data-replay="message"]');
    message.hidden = false;
    message.textContent = `The replay could not start: ${problem.message}`;
  });
}
