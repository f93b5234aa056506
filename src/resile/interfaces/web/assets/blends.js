/* Shares that keep 100 %: the sum is told while one types; sliders let the others give way in their ratio. */

const read = (field) => Number(field.value.trim().replace(",", ".")) || 0;
const told = (number) => (Math.round(number * 1000) / 1000).toString();

for (const group of document.querySelectorAll("[data-total]")) {
  const fields = [...group.querySelectorAll("input[inputmode=decimal]")];
  const place = group.querySelector("[data-sum]");
  const tell = () => {
    const sum = fields.reduce((total, field) => total + read(field), 0);
    place.textContent = `So far ${told(sum)} %.`;
    place.classList.toggle("off", Math.abs(sum - 100) > 0.2);
  };
  fields.forEach((field) => field.addEventListener("input", tell));
  if (place) tell();
}

/* Recipe sliders. A slider that moves takes its share from the others, in their ratio; a number that is typed stays
   as typed, and the sum is told. What the recipe keeps is asked for shortly after. */
const form = document.querySelector("form[data-try]");

function begin() {
  const sliders = [...form.querySelectorAll("input[type=range]")];
  const numbers = sliders.map((slider) => form.elements.namedItem(slider.dataset.for));
  const place = form.querySelector("[data-sum]");
  let waiting = 0;
  let asked = 0;

  function tell() {
    const sum = numbers.reduce((total, field) => total + read(field), 0);
    const off = Math.abs(sum - 100) > 0.05;
    place.textContent = off ? `Together ${told(sum)} %; needed is 100 %.` : "Together 100 %.";
    place.classList.toggle("off", off);
    return !off;
  }

  async function ask() {
    const mine = ++asked;
    if (!tell()) return;
    const question = new URLSearchParams(new FormData(form));
    const answered = document.getElementById("tried");
    try {
      const answer = await fetch(`${form.dataset.try}?${question}`, { headers: { accept: "text/html" } });
      const text = await answer.text();
      if (mine !== asked) return;
      const page = new DOMParser().parseFromString(text, "text/html");
      const found = page.getElementById("tried");
      if (!answer.ok || !found) throw new Error(String(answer.status));
      const open = [...answered.querySelectorAll("details[open] > summary")].map((one) => one.textContent.replace(/^\d+/, ""));
      answered.replaceChildren(...found.childNodes);
      answered.querySelectorAll("details").forEach((one) => { one.open = open.includes(one.querySelector("summary").textContent.replace(/^\d+/, "")); });
      document.getElementById("tried-cautions")?.replaceChildren(...(page.getElementById("tried-cautions")?.childNodes ?? []));
      echo();
      history.replaceState(null, "", `?${question}#try`);
    } catch {
      if (mine === asked) answered.textContent = "The workbench did not answer. Move a slider again, or press the button.";
    }
  }

  /* The verdict again under the triangle: it stands above it, out of sight of who clicks there. */
  function echo() {
    const place = form.parentElement.querySelector("[data-echo]");
    if (!place) return;
    const shares = numbers.map((field) => `${field.value} % ${form.querySelector(`label[for="${field.id}"]`).textContent}`);
    const verdict = document.querySelector("#tried > .verdict, #tried > .refused")?.textContent.trim() ?? "";
    place.textContent = `${shares.join(", ")}: ${verdict}`;
  }

  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(ask, 250);
  }

  function giveWay(moved) {
    const left = 100 - Number(sliders[moved].value);
    const others = numbers.map((field, place) => (place === moved ? 0 : Math.max(0, read(field))));
    const total = others.reduce((sum, share) => sum + share, 0);
    numbers[moved].value = told(Number(sliders[moved].value));
    let kept = Number(numbers[moved].value);
    let largest = -1;
    numbers.forEach((field, place) => {
      if (place === moved) return;
      const share = total > 0 ? (others[place] * left) / total : left / (numbers.length - 1);
      field.value = (Math.round(share * 100) / 100).toString();
      kept += Number(field.value);
      if (largest < 0 || Number(field.value) > Number(numbers[largest].value)) largest = place;
    });
    if (largest >= 0) numbers[largest].value = told(Number(numbers[largest].value) + 100 - kept);
    sliders.forEach((slider, place) => { slider.value = numbers[place].value; });
    tell();
    soon();
  }

  sliders.forEach((slider, place) => {
    slider.hidden = numbers.length < 2;
    slider.addEventListener("input", () => giveWay(place));
    numbers[place].addEventListener("input", () => { slider.value = read(numbers[place]); if (tell()) soon(); });
  });
  form.addEventListener("submit", (event) => {
    if (event.submitter?.hasAttribute("formaction")) return;
    event.preventDefault();
    ask();
  });
  tell();
  if (form.dataset.ternary) triangle(JSON.parse(form.dataset.ternary), (percent) => {
    numbers.forEach((field, place) => {
      const name = form.querySelector(`label[for="${field.id}"]`).textContent;
      field.value = (Math.round((percent[name] ?? 0) * 100) / 100).toString();
      sliders[place].value = field.value;
    });
    settle(numbers);
    if (tell()) soon();
  });
}

/* Rounded shares make 100: the largest takes what is left. */
function settle(numbers) {
  const sum = numbers.reduce((total, field) => total + read(field), 0);
  const largest = numbers.reduce((best, field) => (read(field) > read(best) ? field : best));
  largest.value = told(read(largest) + 100 - sum);
}

/* A click into the triangle is a recipe: where the three corners are, its shares are. */
function triangle({ corners, floor, span, held }, taken) {
  const figure = document.getElementById("ternary");
  const half = Math.sqrt(3) / 2;
  figure?.addEventListener("drawn", ({ detail }) => {
    const place = figure.querySelector(".drawn");
    place.classList.add("clickable");
    place.addEventListener("click", (event) => {
      const view = detail.view();
      const svg = place.querySelector("svg");
      const box = svg.getBoundingClientRect();
      const grown = box.width / Number(svg.getAttribute("width"));
      const [left, top] = [view.origin()[0] + view.padding().left, view.origin()[1] + view.padding().top];
      const x = view.scale("x").invert((event.clientX - box.left) / grown - left);
      const y = view.scale("y").invert((event.clientY - box.top) / grown - top);
      const high = y / half;
      const right = x - high / 2;
      const parts = [high, 1 - high - right, right];
      if (parts.some((part) => part < -0.005)) return;
      const percent = { ...held };
      corners.forEach((name, corner) => { percent[name] = floor[corner] + Math.max(0, parts[corner]) * span; });
      taken(percent);
    });
  });
}

if (form) begin();
