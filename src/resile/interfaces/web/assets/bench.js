/* Timers that count, drafts that survive a reload, checks while one types. Every form works without it. */

function told(minutes) {
  const whole = Math.max(0, Math.floor(minutes));
  return whole < 60 ? `${whole} min` : `${Math.floor(whole / 60)} h ${String(whole % 60).padStart(2, "0")} min`;
}

function count() {
  for (const place of document.querySelectorAll("[data-since]")) {
    const since = Date.parse(place.dataset.since);
    if (Number.isNaN(since)) continue;
    place.textContent = told((Date.now() - since) / 60000);
    place.classList.add("counting");
  }
}
count();
setInterval(count, 10000);

/* A draft is kept in this browser under the name of its form until the form was taken. */
const kept = (form) => `resile-draft:${form.dataset.draft}`;

function entries(form) {
  return [...new FormData(form)].filter(([name, value]) => name !== "csrf" && typeof value === "string");
}

function bringBack(form) {
  let draft = null;
  try { draft = JSON.parse(localStorage.getItem(kept(form)) || "null"); } catch { draft = null; }
  if (!draft || form.dataset.filled) return;
  let brought = 0;
  for (const [name, value] of draft) {
    const field = form.elements.namedItem(name);
    if (field && "value" in field && !field.value && value) { field.value = value; brought += 1; }
  }
  if (brought) form.querySelector("[data-brought]")?.removeAttribute("hidden");
}

function check(form) {
  const place = document.querySelector("[data-so-far]");
  if (!place || !form.dataset.check || !window.htmx) return;
  window.htmx.ajax("POST", form.dataset.check, { source: form, target: place });
}

for (const form of document.querySelectorAll("form[data-draft]")) {
  bringBack(form);
  let waiting = 0;
  form.addEventListener("input", () => {
    try { localStorage.setItem(kept(form), JSON.stringify(entries(form))); } catch { /* a full or closed store keeps no draft */ }
    clearTimeout(waiting);
    waiting = setTimeout(() => check(form), 600);
  });
  form.querySelector("[data-discard]")?.addEventListener("click", () => {
    localStorage.removeItem(kept(form));
    location.reload();
  });
  check(form);
}
const taken = document.querySelector("[data-taken]");
if (taken) localStorage.removeItem(`resile-draft:${taken.dataset.taken}`);

document.querySelector("[data-print]")?.addEventListener("click", () => window.print());
