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
