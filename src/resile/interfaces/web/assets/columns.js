/* Clicking a cell leads to the question what its column is; the units offered are those of the quantity. */

const units = (select) => {
  const unit = document.getElementById(select.id.replace("quantity", "unit"));
  const offered = (select.selectedOptions[0]?.dataset.units || "").split(";").filter(Boolean);
  for (const option of unit.options) option.hidden = Boolean(option.value) && !offered.includes(option.value);
  if (unit.selectedOptions[0]?.hidden) unit.value = "";
  unit.disabled = offered.length === 0;
};

for (const select of document.querySelectorAll("select[id^=quantity-]")) {
  units(select);
  select.addEventListener("change", () => units(select));
  const column = select.id.split("-")[1];
  const cells = document.querySelectorAll(`td[data-column="${column}"]`);
  select.addEventListener("focus", () => cells.forEach((cell) => cell.classList.add("picked")));
  select.addEventListener("blur", () => cells.forEach((cell) => cell.classList.remove("picked")));
  for (const cell of cells) {
    cell.addEventListener("click", () => {
      select.focus();
      select.scrollIntoView({ block: "nearest", inline: "center" });
      if (select.showPicker) try { select.showPicker(); } catch { /* the browser opens lists its own way */ }
    });
  }
}
