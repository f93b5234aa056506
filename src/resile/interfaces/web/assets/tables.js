/* Sort, filter and save the tables that ask for it (data-tools). Without script they stand as they are. */

const collator = new Intl.Collator("en", { numeric: true, sensitivity: "base" });

function text(cell) {
  return cell ? cell.textContent.trim().replace(/\s+/g, " ") : "";
}

function value(cell, kind) {
  const raw = cell && cell.dataset.sort !== undefined ? cell.dataset.sort : text(cell);
  if (kind !== "number") return raw;
  const plain = raw.replace(/[\u2212\u2013]/g, "-").replace(/[\s\u00a0\u202f]/g, "");
  const found = plain.match(/-?\d+(\.\d+)?(e[-+]?\d+)?/i);
  return found ? Number(found[0]) : NaN;
}

function compare(a, b, kind) {
  if (kind !== "number") return collator.compare(a, b);
  if (Number.isNaN(a) || Number.isNaN(b)) return Number.isNaN(a) - Number.isNaN(b);
  return a - b;
}

function sort(table, index, heading) {
  const rising = heading.getAttribute("aria-sort") !== "ascending";
  for (const one of table.tHead.rows[0].cells) one.removeAttribute("aria-sort");
  heading.setAttribute("aria-sort", rising ? "ascending" : "descending");
  const kind = heading.dataset.kind || "text";
  const rows = [...table.tBodies[0].rows].map((row) => [value(row.cells[index], kind), row]);
  rows.sort((a, b) => {
    const missing = kind === "number" && (Number.isNaN(a[0]) || Number.isNaN(b[0]));
    return missing || rising ? compare(a[0], b[0], kind) : compare(b[0], a[0], kind);
  });
  table.tBodies[0].append(...rows.map((pair) => pair[1]));
}

/* A cell that a spreadsheet would take for a formula is led by an apostrophe; a plain number is left alone. */
export function csvCell(raw) {
  const isNumber = /^[-+\u2212]?\d[\d\s\u00a0\u202f]*([.,]\d+)?(e[-+]?\d+)?$/i.test(raw);
  const plain = isNumber ? raw.replace(/\u2212/g, "-").replace(/[\s\u00a0\u202f]/g, "") : raw;
  const safe = !isNumber && /^[\s]*[=+\-@\t\r]/.test(plain) ? `'${plain}` : plain;
  return /[",\n\r]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
}

function save(table) {
  const rows = [table.tHead.rows[0], ...table.tBodies[0].rows].filter((row) => !row.hidden);
  const lines = rows.map((row) => [...row.cells].map((cell) => csvCell(text(cell))).join(","));
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob(["\ufeff" + lines.join("\r\n") + "\r\n"], { type: "text/csv" }));
  link.download = `${table.id || "table"}.csv`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

function filter(table, words, count) {
  const wanted = words.toLowerCase().split(/\s+/).filter(Boolean);
  let shown = 0;
  for (const row of table.tBodies[0].rows) {
    const held = row.textContent.toLowerCase();
    row.hidden = !wanted.every((word) => held.includes(word));
    shown += row.hidden ? 0 : 1;
  }
  count.textContent = wanted.length ? `${shown} of ${table.tBodies[0].rows.length} rows` : "";
}

function tools(table) {
  const bar = document.createElement("div");
  bar.className = "table-tools";
  const name = table.caption ? text(table.caption) : "this table";
  if (table.tBodies[0].rows.length > 5) {
    const label = document.createElement("label");
    const input = document.createElement("input");
    const count = document.createElement("span");
    label.append("Show rows with ", input);
    input.type = "search";
    input.setAttribute("aria-label", `Show rows with, in ${name}`);
    count.className = "count";
    count.setAttribute("role", "status");
    input.addEventListener("input", () => filter(table, input.value, count));
    bar.append(label, count);
  }
  const button = document.createElement("button");
  button.type = "button";
  button.className = "plain";
  button.textContent = "Save as CSV";
  button.setAttribute("aria-label", `Save as CSV: ${name}`);
  button.addEventListener("click", () => save(table));
  bar.append(button);
  (table.closest(".scroll") || table).before(bar);
}

function equip(table) {
  if (table.dataset.equipped || !table.tHead || !table.tBodies.length) return;
  table.dataset.equipped = "yes";
  [...table.tHead.rows[0].cells].forEach((heading, index) => {
    if (!text(heading)) return;
    const button = document.createElement("button");
    button.type = "button";
    button.className = "sort";
    button.append(...heading.childNodes);
    button.addEventListener("click", () => sort(table, index, heading));
    heading.append(button);
  });
  tools(table);
}

function equipAll(within) {
  within.querySelectorAll("table[data-tools]").forEach(equip);
}

equipAll(document);
document.addEventListener("htmx:load", (event) => equipAll(event.target));
