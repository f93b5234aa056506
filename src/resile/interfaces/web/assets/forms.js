/* Forms with files: drop onto the field, refuse what is too large before it travels, show how far it is. */

function tell(form, sentence) {
  let place = form.querySelector(".said.refused");
  if (!place) {
    place = document.createElement("p");
    place.className = "said refused";
    place.setAttribute("role", "alert");
    form.prepend(place);
  }
  place.textContent = sentence;
}

function tooLarge(form) {
  const limit = Number(form.dataset.limit || 0);
  const files = [...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]);
  const bytes = files.reduce((sum, file) => sum + file.size, 0);
  if (!limit || bytes <= limit) return "";
  const megabytes = (size) => (size / 1e6).toFixed(0);
  return `These files have ${megabytes(bytes)} MB together; at most ${megabytes(limit)} MB are taken at once. Send fewer at a time.`;
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  const sentence = form.matches("form[data-limit]") ? tooLarge(form) : "";
  if (sentence) {
    event.preventDefault();
    tell(form, sentence);
  }
});

for (const place of document.querySelectorAll("[data-drop]")) {
  const input = place.querySelector("input[type=file]");
  const over = (on) => place.classList.toggle("over", on);
  place.addEventListener("dragover", (event) => { event.preventDefault(); over(true); });
  place.addEventListener("dragleave", () => over(false));
  place.addEventListener("drop", (event) => {
    event.preventDefault();
    over(false);
    if (!event.dataTransfer.files.length) return;
    input.files = event.dataTransfer.files;
    input.dispatchEvent(new Event("change", { bubbles: true }));
  });
}

/* The first field that was refused is where the work goes on. */
const wrong = document.querySelector("[aria-invalid=true]");
if (wrong) wrong.focus();
