/* Record files dropped anywhere: one request a file, told while it travels and is read, each can be stopped. */

const form = document.querySelector("form[data-keep]");
const csrf = () => JSON.parse(document.body.getAttribute("hx-headers"))["X-CSRF"];
const words = { invalid: "invalid", caution: "caution", note: "note" };

function element(name, text, attributes = {}) {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

function desk() {
  let place = document.getElementById("kept");
  if (!place) {
    place = element("section", "", { id: "kept", class: "kept", "aria-label": "Files on their way" });
    place.append(element("h2", "Files"), element("ol", "", { "aria-live": "polite" }));
    const close = element("button", "Close", { type: "button", class: "plain" });
    close.addEventListener("click", () => place.remove());
    place.append(close);
    document.body.append(place);
  }
  place.hidden = false;
  return place.querySelector("ol");
}

function line(name) {
  const row = element("li");
  const bar = element("progress", "", { max: "1", "aria-label": `${name} on its way` });
  const state = element("span", "sending", { class: "state" });
  const stop = element("button", "Stop", { type: "button", class: "plain", "aria-label": `Stop ${name}` });
  row.append(element("span", name, { class: "name" }), " ", bar, " ", state, " ", stop);
  desk().append(row);
  return { row, bar, state, stop };
}

function end(shown, answer) {
  shown.bar.remove();
  shown.stop.remove();
  shown.state.textContent = answer.said || answer.refused || "stopped";
  shown.row.classList.add(answer.refused ? "refused" : answer.worst || "done");
  if (answer.worst) shown.state.prepend(element("span", `${words[answer.worst]}: `, { class: `mark ${answer.worst}` }));
  if (answer.numbers && answer.numbers.length) shown.row.append(element("p", answer.numbers.join(" · "), { class: "numbers" }));
  for (const message of answer.messages || []) shown.row.append(element("p", message));
  if (answer.address) {
    const link = element("a", "Open", { href: answer.address });
    shown.row.append(" ", link);
  }
}

async function follow(shown, job) {
  shown.stop.onclick = () => fetch(`${job}/cancel`, { method: "POST", headers: { "X-CSRF": csrf() } });
  for (;;) {
    const news = await (await fetch(`${job}/news`)).json();
    shown.state.textContent = news.words || "reading";
    if (news.of) { shown.bar.max = news.of; shown.bar.value = news.done; }
    if (news.state === "done") return { said: "kept", address: news.address };
    if (news.state === "refused") return { refused: news.words };
    if (news.state === "cancelled") return { said: "stopped" };
    await new Promise((later) => setTimeout(later, 400));
  }
}

function send(file, shown) {
  const body = new FormData(form || undefined);
  body.delete("files");
  body.append("files", file);
  return new Promise((settled) => {
    const request = new XMLHttpRequest();
    request.open("POST", "/drop");
    request.responseType = "json";
    request.setRequestHeader("Accept", "application/json");
    request.setRequestHeader("X-CSRF", csrf());
    request.upload.addEventListener("progress", (event) => {
      if (event.lengthComputable) shown.bar.value = event.loaded / event.total;
      if (event.loaded === event.total) { shown.bar.removeAttribute("value"); shown.state.textContent = "reading"; }
    });
    request.addEventListener("load", () => {
      const answer = request.response || { refused: `the file was not taken (${request.status})` };
      if (answer.job) follow(shown, answer.job).then(settled);
      else settled(answer);
    });
    request.addEventListener("error", () => settled({ refused: "the workbench cannot be reached; nothing was kept" }));
    request.addEventListener("abort", () => settled({ said: "stopped; nothing was kept" }));
    shown.stop.onclick = () => request.abort();
    request.send(body);
  });
}

/* With every file attached to one sample, the next step is that sample. */
function leadOn(samples) {
  const next = document.querySelector("#kept .next");
  if (!next || samples.size !== 1) return;
  next.querySelector("a").href = [...samples][0];
  next.hidden = false;
  next.querySelector("a").focus();
}

async function keep(files) {
  const limit = Number(form?.dataset.limit || 50e6);
  const waiting = [...files].map((file) => [file, line(file.name)]);
  const samples = new Set();
  let last = null;
  for (const [file, shown] of waiting) {
    const large = file.size > limit;
    last = large
      ? { refused: `${(file.size / 1e6).toFixed(1)} MB is too large; a record file has at most ${(limit / 1e6).toFixed(0)} MB` }
      : await send(file, shown);
    end(shown, last);
    if (last.sample) samples.add(last.sample);
  }
  if (form && waiting.length === 1 && last.address) location.assign(last.address);
  else leadOn(samples);
}

if (form) {
  const input = form.querySelector("input[type=file]");
  input.addEventListener("change", () => { if (input.files.length) { keep(input.files); } });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (input.files.length) keep(input.files);
    else input.focus();
  });
}

const carriesFiles = (event) => event.dataTransfer && [...event.dataTransfer.types].includes("Files");
const taken = (event) => event.target instanceof Element && event.target.closest("[data-drop]");
let depth = 0;
document.addEventListener("dragenter", (event) => {
  if (carriesFiles(event)) { depth += 1; document.body.classList.add("dropping"); }
});
document.addEventListener("dragleave", () => {
  depth = Math.max(0, depth - 1);
  if (!depth) document.body.classList.remove("dropping");
});
document.addEventListener("dragover", (event) => { if (carriesFiles(event)) event.preventDefault(); });
document.addEventListener("drop", (event) => {
  depth = 0;
  document.body.classList.remove("dropping");
  if (!carriesFiles(event) || taken(event)) return;
  event.preventDefault();
  if (event.dataTransfer.files.length) keep(event.dataTransfer.files);
});
