/* The sliders of a road: the demand is asked for anew shortly after one has moved, and said in words. */

const form = document.querySelector("form[data-suppose]");

function start() {
  let waiting = 0;
  let asked = 0;

  async function ask() {
    const mine = ++asked;
    const question = new URLSearchParams(new FormData(form));
    const place = document.getElementById("supposed");
    try {
      const answer = await fetch(`${form.dataset.suppose}?${question}`, { headers: { accept: "text/html" } });
      const text = await answer.text();
      if (mine !== asked) return;
      const told = new DOMParser().parseFromString(text, "text/html").getElementById("supposed");
      if (!answer.ok || !told) throw new Error(String(answer.status));
      place.replaceChildren(...told.childNodes);
    } catch {
      if (mine === asked) place.textContent = "The workbench did not answer. Move the slider again, or press the button.";
    }
  }

  function soon() {
    clearTimeout(waiting);
    waiting = setTimeout(ask, 180);
  }

  for (const slider of form.querySelectorAll("input[type=range]")) {
    const number = form.elements.namedItem(slider.dataset.for);
    slider.hidden = false;
    slider.addEventListener("input", () => { number.value = slider.value; soon(); });
    number.addEventListener("input", () => { slider.value = number.value; soon(); });
  }
  form.addEventListener("submit", (event) => { event.preventDefault(); ask(); });
}

if (form) start();
