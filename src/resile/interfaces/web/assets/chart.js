/* Draw the pictures of a page live: no eval (expressions are interpreted), colours follow the page, SVG and PNG can be saved.
   A figure is <figure data-chart> with <script type="application/json" class="spec">, or data-chart="ADDRESS" of a specification.
   Until it is drawn, and without script, the drawing of the server stands in its place. */

const here = new URL(".", import.meta.url);
let engine;

function script(name) {
  return new Promise((done, failed) => {
    const tag = document.createElement("script");
    tag.src = new URL(`vendor/${name}`, here).href;
    tag.onload = done;
    tag.onerror = () => failed(new Error(`${name} could not be loaded`));
    document.head.append(tag);
  });
}

async function loadEngine() {
  await script("vega.min.js");
  await script("vega-lite.min.js");
  const { expressionInterpreter } = await import(new URL("vendor/vega-interpreter.js", here).href);
  return { vega: globalThis.vega, vegaLite: globalThis.vegaLite, expr: expressionInterpreter };
}

/* What each colour of the house becomes on a dark page; the same table as that of the printed pictures. */
function isDark() {
  const look = document.documentElement.dataset.look;
  return look === "dark" || (look !== "light" && matchMedia("(prefers-color-scheme: dark)").matches);
}

async function darkColours() {
  const answer = await fetch(new URL("../../pictures/dark-colours.json", here));
  return answer.ok ? answer.json() : {};
}
let dark;

async function coloured(spec) {
  if (!isDark()) return spec;
  dark = dark || darkColours();
  const colours = await dark;
  return JSON.parse(JSON.stringify(spec), (key, value) =>
    typeof value === "string" && colours[value.toLowerCase()] ? colours[value.toLowerCase()] : value);
}

async function specOf(figure) {
  const held = figure.querySelector("script.spec");
  if (held) return JSON.parse(held.textContent);
  const answer = await fetch(figure.dataset.chart, { headers: { accept: "application/json" } });
  if (!answer.ok) throw new Error(`the picture was not given (${answer.status})`);
  return answer.json();
}

/* Draw a specification into a place; gives the Vega view, so that a page can feed it further data. */
export async function draw(place, spec, { colours = true } = {}) {
  engine = engine || loadEngine();
  const { vega, vegaLite, expr } = await engine;
  const wanted = colours ? await coloured(spec) : spec;
  const compiled = wanted.$schema && wanted.$schema.includes("/vega/") ? wanted : vegaLite.compile(wanted).spec;
  const loader = vega.loader();
  loader.load = () => Promise.reject(new Error("pictures hold their own data"));
  const view = new vega.View(vega.parse(compiled, null, { ast: true }), { expr, loader, renderer: "svg", hover: true });
  const frame = document.createElement("div");
  frame.className = "view";
  await view.initialize(frame).runAsync();
  const svg = frame.querySelector("svg");
  if (svg && spec.description) {
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", spec.description);
    svg.querySelectorAll("[role],[aria-label],[aria-roledescription]").forEach((part) => {
      for (const name of ["role", "aria-label", "aria-roledescription", "aria-hidden"]) part.removeAttribute(name);
    });
  }
  place.replaceChildren(frame);
  return view;
}

function offer(bar, view, kind, name) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain";
  button.textContent = `Save as ${kind.toUpperCase()}`;
  button.addEventListener("click", async () => {
    const address = await view().toImageURL(kind, kind === "png" ? 2 : 1);
    const link = document.createElement("a");
    link.href = address;
    link.download = `${name}.${kind}`;
    link.click();
  });
  bar.append(button);
}

async function live(figure) {
  if (figure.dataset.drawn) return;
  figure.dataset.drawn = "yes";
  const place = figure.querySelector(".drawn") || figure;
  try {
    const spec = await specOf(figure);
    let view = await draw(place, spec);
    figure.classList.add("live");
    if (!("saved" in figure.dataset)) {
      const bar = document.createElement("div");
      bar.className = "chart-tools";
      for (const kind of ["svg", "png"]) offer(bar, () => view, kind, figure.id || "picture");
      place.after(bar);
    }
    const again = async () => { view.finalize(); view = await draw(place, spec); };
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", again);
    figure.dispatchEvent(new CustomEvent("drawn", { bubbles: true, detail: { spec, view: () => view, redraw: async (next) => { view.finalize(); view = await draw(place, next); } } }));
  } catch (problem) {
    console.error(problem);
  }
}

function liveAll(within) {
  within.querySelectorAll("figure[data-chart]").forEach(live);
}

/* Not before every script of the page stands: what one of them adds to a picture hangs on hearing that it is drawn. */
if (document.readyState === "complete") liveAll(document);
else document.addEventListener("DOMContentLoaded", () => liveAll(document));
document.addEventListener("htmx:load", (event) => liveAll(event.target));
