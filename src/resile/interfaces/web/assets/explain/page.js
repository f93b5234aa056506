// Makes the picture of the page move with the sliders. Without it the form is sent and the page comes back drawn.
import { ladderX, partsBack, pushGeometry, threeFigures, tryBinder } from "./model.js";

const QUIET_MS = 500; // a screen reader is told once the reader has stopped, not at every step

function setAll(root, selector, change) {
  root.querySelectorAll(selector).forEach(change);
}

function drawPush(drawing, geometry, back) {
  setAll(drawing, "[data-line]", (line) => line.setAttribute("d", geometry[line.dataset.line]));
  const right = drawing.querySelector("[data-bracket]").getAttribute("d").match(/^M([\d.]+)/)[1];
  const bracket = (from, to) => `M${right} ${from.toFixed(2)}h7V${to.toFixed(2)}h-7`;
  drawing.querySelector('[data-bracket="back"]').setAttribute("d", bracket(geometry.peak_y, geometry.left_y));
  drawing.querySelector('[data-bracket="left"]').setAttribute("d", bracket(geometry.left_y, geometry.floor_y));
  const heights = { back: geometry.back_words_y, left: geometry.left_words_y };
  setAll(drawing, "[data-words]", (group) => {
    const across = group.getAttribute("transform").match(/\(([\d.]+)/)[1];
    group.setAttribute("transform", `translate(${across} ${heights[group.dataset.words].toFixed(2)})`);
  });
  drawing.querySelector('[data-parts="back"]').textContent = back;
  drawing.querySelector('[data-parts="left"]').textContent = 100 - back;
  [...drawing.querySelectorAll("[data-tick]")].forEach((tick, n) => {
    const [at, words] = geometry.ticks[n] ?? [0, ""];
    tick.setAttribute("visibility", n < geometry.ticks.length ? "visible" : "hidden");
    tick.setAttribute("transform", `translate(0 ${at.toFixed(2)})`);
    tick.querySelector("text").textContent = words;
  });
}

function drawLadder(ladder, x) {
  const mark = ladder.querySelector("[data-mark]");
  mark.setAttribute("transform", `translate(${x.toFixed(2)} 0)`);
  mark.querySelector("text").setAttribute("text-anchor", x > 330 ? "end" : x > 170 ? "middle" : "start");
}

function show(root, data, state) {
  const trial = tryBinder(data, state.binder, state.stress, state.temperature);
  const { push } = trial;
  const drawing = root.querySelector("[data-drawing]");
  drawPush(drawing, pushGeometry(push, trial.reference, data.layout), partsBack(push.percent_recovery));
  drawing.querySelector("title").textContent = trial.sentences.join(" ");
  const ladder = root.querySelector("[data-ladder]");
  if (ladder) drawLadder(ladder, ladderX(trial.deciding.jnr, data.limits, data.layout));
  setAll(root, "[data-sentence]", (line) => {
    line.textContent = trial.sentences[[...root.querySelectorAll("[data-sentence]")].indexOf(line)];
  });
  setAll(root, "[data-shown]", (output) => {
    output.textContent = state[output.dataset.shown];
  });
  const numbers = {
    peak: (100 * push.creep_strain).toFixed(0),
    left: (100 * push.recovered_strain).toFixed(0),
    recovery: push.percent_recovery.toFixed(0),
    stress: state.stress,
    jnr: threeFigures(push.jnr),
  };
  setAll(root, "[data-number]", (place) => {
    place.textContent = numbers[place.dataset.number];
  });
  return trial;
}

async function start(form) {
  const root = form.closest(".explain");
  const answer = await fetch(form.dataset.explain);
  if (!answer.ok) return; // the form still works without
  const data = await answer.json();
  const [stress, temperature] = [form.elements.stress, form.elements.temperature];
  const announce = root.querySelector("[data-announce]");
  let waiting;
  const change = () => {
    const state = {
      binder: form.elements.binder.value,
      stress: Number(stress.value),
      temperature: Number(temperature.value),
    };
    const trial = show(root, data, state);
    clearTimeout(waiting);
    waiting = setTimeout(() => {
      announce.textContent = trial.sentences.join(" ");
      const asked = new URLSearchParams(location.search);
      Object.entries(state).forEach(([name, value]) => asked.set(name, value));
      asked.delete("hotter");
      history.replaceState(null, "", `?${asked}`);
    }, QUIET_MS);
  };
  form.addEventListener("input", change);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (event.submitter?.name === "hotter") {
      temperature.value = Number(temperature.value) + data.model.hotter_step_c; // the slider stops at its end
    }
    change();
  });
  root.classList.add("x-live");
}

document.querySelectorAll("form[data-explain]").forEach(start);
