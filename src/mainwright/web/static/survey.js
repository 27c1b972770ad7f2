// Tables of a job as cells: typed, pasted, checked while they are typed, kept in this browser until they are saved.
const HIGH = 34, BEYOND = 12;
const root = document.getElementById("editor");
const say = root.dataset;
const box = root.querySelector(".grid"), grid = box.querySelector("table"), head = grid.tHead, body = grid.tBodies[0];
const faultBox = root.querySelector(".grid-faults"), says = root.querySelector(".cell-says");
const saving = root.querySelector("form.save"), wrong = saving.querySelector(".wrong");
const keyOf = (table) => `mainwright:${say.src}:${table}`;

let model = null, single = false, at = { row: 0, column: 0 }, from = { row: 0, column: 0 }, faults = [], marks = new Map(), past = [], timer = 0, checking = 0, editing = false, mine = null, warned = "";

const rowsShown = () => (single ? model.columns.length : model.rows.length);
const columnsShown = () => (single ? 1 : model.columns.length);
const columnOf = (row, column) => model.columns[single ? row : column];
const get = (row, column) => (single ? model.rows[0][row] : model.rows[row]?.[column]) ?? "";
const put = (row, column, text) => { if (single) model.rows[0][row] = text; else model.rows[row][column] = text; };

async function ask(path, fields) {
  const answer = await fetch(`${say.src}/${path}`, { method: "POST", body: new URLSearchParams({ token: say.token, ...fields }), headers: { accept: "application/json" } });
  const found = await answer.json().catch(() => ({}));
  return { ok: answer.ok, status: answer.status, ...found };
}

// What this browser has no room for is kept by the page until it is saved.
const held = {};
function drafts() {
  const found = { ...held };
  for (let place = 0; place < localStorage.length; place++) {
    const key = localStorage.key(place);
    if (key.startsWith(keyOf(""))) try { found[key.slice(keyOf("").length)] = JSON.parse(localStorage.getItem(key)); } catch { /* not ours */ }
  }
  return found;
}

// Another tab of this browser keeps its drafts in the same place: what was typed here is written there again before it is saved.
function put_down() {
  const draft = { base: mine, header: model.columns.map((one) => one.name), rows: model.rows };
  try { localStorage.setItem(keyOf(model.table), JSON.stringify(draft)); delete held[model.table]; } catch { localStorage.removeItem(keyOf(model.table)); held[model.table] = draft; wrong.textContent = say.full; }
}
function keep() {
  mine ??= say.base;
  put_down();
  tell();
  clearTimeout(timer);
  timer = setTimeout(check, 350);
}

function tell() {
  const names = Object.keys(drafts());
  saving.querySelector(".unsaved").textContent = names.length ? `${say.typed} ${names.join(", ")}` : "";
  saving.querySelector("[data-do=drop]").hidden = !names.length;
}

async function check() {
  const mine = ++checking;
  try {
    const found = await ask("check", { cells: JSON.stringify(drafts()) });
    if (mine === checking && found.ok) take(found.faults);
  } catch { wrong.textContent = say.lost; }
}

// Rows without any cell do not count: the faults name the others.
function take(found) {
  faults = found;
  const filled = [];
  if (!single) model.rows.forEach((row, place) => { if (row.some((cell) => cell.trim())) filled.push(place); });
  marks = new Map();
  const counts = {};
  for (const one of found) {
    if (one.severity === "fault") counts[one.table] = (counts[one.table] || 0) + 1;
    if (one.table !== model.table) continue;
    const column = model.columns.findIndex((other) => other.name === one.column);
    one.at = single ? { row: Math.max(0, column), column: 0 } : { row: filled[one.row] ?? 0, column: Math.max(0, column) };
    if (one.whole) continue;
    const key = `${one.at.row}:${one.at.column}`, before = marks.get(key);
    if (!before || before.severity !== "fault") marks.set(key, before ? { ...one, text: `${before.text} ${one.text}` } : one);
  }
  for (const link of root.querySelectorAll(".tabs a")) {
    const count = counts[link.dataset.name] || 0, badge = link.querySelector(".tab-faults");
    badge.hidden = !count; badge.textContent = count;
  }
  const mine = found.filter((one) => one.table === model.table);
  faultBox.replaceChildren();
  if (!mine.length) { const none = document.createElement("p"); none.className = "quiet small"; none.textContent = say.noFaults; faultBox.append(none); }
  for (const one of mine.slice(0, 200)) {
    const go = document.createElement("button");
    go.type = "button"; go.className = one.severity;
    go.textContent = `${single || one.whole ? "" : `${say.row} ${one.at.row + 1} · `}${one.column ? `${one.column}: ` : ""}${one.text}`;
    go.onclick = () => { if (rowsShown()) move(one.at.row, one.at.column, false, true); };
    faultBox.append(go);
  }
  draw(); describe();
}

function heads() {
  const row = document.createElement("tr");
  const cell = (text, title, kind) => { const one = document.createElement("th"); one.scope = "col"; one.textContent = text; if (title) one.title = title; if (kind === "number" || kind === "integer") one.className = "number"; row.append(one); };
  cell(say.row);
  if (single) { cell(say.value); cell(say.says); } else for (const one of model.columns) cell(one.required ? `${one.name} *` : one.name, one.says, one.kind);
  head.replaceChildren(row);
}

function draw() {
  if (editing) return; // a cell that is being typed is not taken away
  const count = rowsShown(), wide = columnsShown();
  const first = single ? 0 : Math.max(0, Math.floor(box.scrollTop / HIGH) - BEYOND);
  const last = single ? count : Math.min(count, first + Math.ceil((box.clientHeight || 500) / HIGH) + 2 * BEYOND);
  const focused = body.contains(document.activeElement) && document.activeElement.tagName !== "INPUT";
  grid.setAttribute("aria-rowcount", count + 1); grid.setAttribute("aria-colcount", wide + 1);
  const rows = [];
  const spacer = (high) => { if (high <= 0) return; const row = document.createElement("tr"), cell = document.createElement("td"); row.className = "spacer"; row.setAttribute("aria-hidden", "true"); cell.colSpan = wide + 1; cell.style.height = `${high}px`; row.append(cell); rows.push(row); };
  spacer(first * HIGH);
  const [top, bottom] = [Math.min(at.row, from.row), Math.max(at.row, from.row)], [left, right] = [Math.min(at.column, from.column), Math.max(at.column, from.column)];
  for (let row = first; row < last; row++) {
    const line = document.createElement("tr");
    line.setAttribute("aria-rowindex", row + 2);
    line.id = `row-${row + 1}`;
    const name = document.createElement("th");
    name.scope = "row"; name.textContent = single ? model.columns[row].name + (model.columns[row].required ? " *" : "") : row + 1;
    if (single) name.className = "key";
    line.append(name);
    for (let column = 0; column < wide; column++) {
      const cell = document.createElement("td"), kind = columnOf(row, column).kind, mark = marks.get(`${row}:${column}`);
      cell.textContent = get(row, column);
      cell.dataset.at = `${row}:${column}`;
      cell.setAttribute("role", "gridcell");
      cell.tabIndex = row === at.row && column === at.column ? 0 : -1;
      if (kind === "number" || kind === "integer") cell.classList.add("number");
      if (row >= top && row <= bottom && column >= left && column <= right) { cell.classList.add("chosen"); cell.setAttribute("aria-selected", "true"); }
      if (mark?.severity === "fault") cell.setAttribute("aria-invalid", "true"); else if (mark) cell.classList.add("watch");
      if (mark) cell.title = mark.text;
      line.append(cell);
    }
    if (single) { const more = document.createElement("td"); more.className = "says"; more.textContent = model.columns[row].says; line.append(more); }
    rows.push(line);
  }
  spacer((count - last) * HIGH);
  body.replaceChildren(...rows);
  if (focused) cellAt(at.row, at.column)?.focus({ preventScroll: true });
}

const cellAt = (row, column) => body.querySelector(`[data-at="${row}:${column}"]`);

function describe() {
  says.replaceChildren();
  if (!rowsShown()) return;
  const mark = marks.get(`${at.row}:${at.column}`), column = columnOf(at.row, at.column);
  if (mark) { const strong = document.createElement("b"); strong.textContent = mark.text; says.append(strong); } else if (column) says.textContent = `${column.name}: ${column.says}${column.choices.length ? ` · ${column.choices.join(", ")}` : ""}`;
}

function move(row, column, extend = false, focus = true) {
  at = { row: Math.min(Math.max(0, row), Math.max(0, rowsShown() - 1)), column: Math.min(Math.max(0, column), columnsShown() - 1) };
  if (!extend) from = { ...at };
  if (!single) {
    const top = at.row * HIGH, low = top + HIGH * 2 - box.clientHeight + HIGH;
    if (box.scrollTop > top) box.scrollTop = top; else if (box.scrollTop < low) box.scrollTop = low;
  }
  draw(); describe();
  if (focus) { const cell = cellAt(at.row, at.column); cell?.focus({ preventScroll: true }); cell?.scrollIntoView({ block: single ? "nearest" : "nearest", inline: "nearest" }); }
}

function remember() { past.push(model.rows.map((row) => [...row])); if (past.length > 100) past.shift(); }

function edit(text, keepText) {
  const cell = cellAt(at.row, at.column);
  if (!cell) return;
  const input = document.createElement("input"), column = columnOf(at.row, at.column), place = { ...at };
  input.value = keepText ? get(at.row, at.column) : text;
  // A line of typing holds no line break: a cell with one changes only where somebody typed.
  const begun = keepText ? input.value : null;
  const typed = () => input.value !== begun && input.value !== get(place.row, place.column);
  input.setAttribute("aria-label", `${column.name}, ${say.row} ${at.row + 1}`);
  input.autocomplete = "off"; input.spellcheck = false;
  const words = column.choices.length ? column.choices : column.kind === "yes_no" ? ["yes", "no"] : [];
  if (words.length) {
    const list = document.createElement("datalist"); list.id = "words";
    list.append(...words.map((one) => Object.assign(document.createElement("option"), { value: one })));
    input.setAttribute("list", "words"); cell.replaceChildren(input, list);
  } else cell.replaceChildren(input);
  input.focus();
  if (keepText) input.select();
  let done = false;
  editing = true;
  const end = (take_, row = 0, column_ = 0) => {
    if (done) return; done = true; editing = false;
    if (take_ && typed()) { remember(); put(place.row, place.column, input.value); keep(); }
    at = place; from = { ...place };
    draw();
    move(place.row + row, place.column + column_);
  };
  input.onkeydown = (event) => {
    event.stopPropagation();
    if (event.key === "Enter") { event.preventDefault(); end(true, event.shiftKey ? -1 : 1); }
    else if (event.key === "Tab") { event.preventDefault(); end(true, 0, event.shiftKey ? -1 : 1); }
    else if (event.key === "Escape") { event.preventDefault(); end(false); }
  };
  input.onblur = () => { if (!done) { done = true; editing = false; if (typed()) { remember(); put(place.row, place.column, input.value); keep(); } draw(); } };
}

const chosen = () => ({ top: Math.min(at.row, from.row), bottom: Math.max(at.row, from.row), left: Math.min(at.column, from.column), right: Math.max(at.column, from.column) });

function copied() {
  const { top, bottom, left, right } = chosen(), lines = [];
  for (let row = top; row <= bottom; row++) { const cells = []; for (let column = left; column <= right; column++) cells.push(get(row, column).replace(/[\t\n]/g, " ")); lines.push(cells.join("\t")); }
  return lines.join("\n");
}

function clear() {
  const { top, bottom, left, right } = chosen();
  remember();
  for (let row = top; row <= bottom; row++) for (let column = left; column <= right; column++) put(row, column, "");
  keep(); draw();
}

function add(place) {
  remember();
  model.rows.splice(place, 0, model.columns.map(() => ""));
  keep(); move(place, 0);
}

// Cells that would stand beyond the last column, or below the last value, are not dropped unsaid.
const beyond = (rows) => rows.some((cells, down) => cells.some((cell, right) => cell.trim() && (at.column + right >= columnsShown() || (single && at.row + down >= rowsShown()))));

function fill(rows) {
  remember();
  rows.forEach((cells, down) => {
    const row = at.row + down;
    if (!single) while (model.rows.length <= row) model.rows.push(model.columns.map(() => ""));
    cells.forEach((cell, right) => { if (row < rowsShown() && at.column + right < columnsShown()) put(row, at.column + right, cell.trim()); });
  });
  from = { ...at };
  keep(); draw();
}

box.addEventListener("scroll", () => { if (!single) requestAnimationFrame(draw); });
body.addEventListener("mousedown", (event) => {
  const cell = event.target.closest("[data-at]");
  if (!cell || event.target.tagName === "INPUT") return;
  event.preventDefault();
  document.activeElement?.blur?.();
  const [row, column] = cell.dataset.at.split(":").map(Number);
  move(row, column, event.shiftKey);
});
body.addEventListener("mouseover", (event) => {
  const cell = event.buttons === 1 && event.target.closest("[data-at]");
  if (!cell || body.querySelector("input")) return;
  const [row, column] = cell.dataset.at.split(":").map(Number);
  if (row !== at.row || column !== at.column) move(row, column, true);
});
body.addEventListener("dblclick", (event) => { if (event.target.closest("[data-at]")) edit("", true); });
body.addEventListener("focusin", (event) => {
  const cell = event.target.closest("[data-at]");
  if (cell && event.target === cell) { const [row, column] = cell.dataset.at.split(":").map(Number); if (row !== at.row || column !== at.column) { at = { row, column }; from = { ...at }; describe(); } }
});
body.addEventListener("keydown", (event) => {
  if (event.target.tagName === "INPUT") return;
  const command = event.ctrlKey || event.metaKey, page = Math.max(1, Math.floor(box.clientHeight / HIGH) - 2);
  const way = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], PageUp: [-page, 0], PageDown: [page, 0] }[event.key];
  if (way) { event.preventDefault(); const far = command ? 1e6 : 1; move(at.row + way[0] * far, at.column + way[1] * far, event.shiftKey); return; }
  if (event.key === "Home" || event.key === "End") { event.preventDefault(); move(command ? (event.key === "Home" ? 0 : 1e6) : at.row, event.key === "Home" ? 0 : 1e6, event.shiftKey); return; }
  if (command && event.key.toLowerCase() === "z") { event.preventDefault(); undo(); return; }
  if (command && event.key.toLowerCase() === "a") { event.preventDefault(); from = { row: 0, column: 0 }; move(1e6, 1e6, true); return; }
  if (command || event.altKey) return;
  if (event.key === "Enter" || event.key === "F2") { event.preventDefault(); edit("", true); }
  else if (event.key === "Delete" || event.key === "Backspace") { event.preventDefault(); clear(); }
  else if (event.key.length === 1) { event.preventDefault(); edit(event.key, false); }
});
body.addEventListener("copy", (event) => { if (event.target.tagName === "INPUT") return; event.preventDefault(); event.clipboardData.setData("text/plain", copied()); });
body.addEventListener("cut", (event) => { if (event.target.tagName === "INPUT") return; event.preventDefault(); event.clipboardData.setData("text/plain", copied()); clear(); });
body.addEventListener("paste", (event) => {
  if (event.target.tagName === "INPUT") return;
  event.preventDefault();
  pasteText(event.clipboardData.getData("text/plain"));
});

async function pasteText(text) {
  const plain = text.replace(/\r\n?/g, "\n").replace(/\n+$/, "");
  wrong.textContent = "";
  if (!/[\t\n]/.test(plain)) { fill([[plain]]); return; }
  const parsedBy = (mark) => ask("parse", { table: model.table, pasted: JSON.stringify(text), mark }).catch(() => ({}));
  let found = await parsedBy(/\t/.test(plain) || single ? "tab" : "");
  // Lines without heads and tabs are one column of a spreadsheet, whatever commas stand in it.
  if (found.ok && !single && !/\t/.test(plain) && !found.header.length) found = await parsedBy("tab");
  if (!found.ok) { wrong.textContent = say.lost; return; }
  if (single) {
    if (beyond(found.rows)) { wrong.textContent = say.beyond; return; }
    fill(found.header?.length ? [found.header, ...found.rows] : found.rows);
  } else if (found.header?.length || beyond(found.rows)) openPaste(text, found);
  else fill(found.rows);
}

function undo() { if (!past.length) return; model.rows = past.pop(); keep(); move(at.row, at.column); }

// Paste or open a table: which column is which.
const pasting = document.getElementById("paste"), meant = pasting.querySelector(".meant");
let parsed = null;
function openPaste(text, found) {
  pasting.querySelector("textarea").value = text;
  pasting.showModal();
  if (found) showMeant(found);
}
function showMeant(found) {
  parsed = found;
  meant.hidden = !found.rows.length;
  const top = document.createElement("tr");
  found.meant.forEach((name, place) => {
    const cell = document.createElement("th"), choice = document.createElement("select");
    cell.scope = "col";
    choice.setAttribute("aria-label", found.header[place] || `${place + 1}`);
    choice.append(new Option(say.leave, ""), ...model.columns.map((one) => new Option(one.name, one.name)));
    choice.value = name;
    choice.onchange = () => { for (const other of meant.querySelectorAll("select")) if (other !== choice && other.value === choice.value) other.value = ""; };
    cell.append(Object.assign(document.createElement("div"), { textContent: found.header[place] || "" }), choice);
    top.append(cell);
  });
  meant.querySelector("thead").replaceChildren(top);
  meant.querySelector("tbody").replaceChildren(...found.rows.slice(0, 5).map((cells) => { const row = document.createElement("tr"); row.append(...cells.map((cell) => Object.assign(document.createElement("td"), { textContent: cell }))); return row; }));
}
async function parse() {
  const text = pasting.querySelector("textarea").value;
  if (!text.trim()) { meant.hidden = true; parsed = null; return; }
  const found = await ask("parse", { table: model.table, pasted: JSON.stringify(text) });
  if (found.ok) showMeant(found);
}
pasting.querySelector("textarea").addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(parse, 250); });
pasting.querySelector("input[type=file]").addEventListener("change", async (event) => {
  const file = event.target.files[0];
  if (!file) return;
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text;
  try { text = new TextDecoder("utf-8", { fatal: true }).decode(bytes); } catch { text = new TextDecoder("windows-1252").decode(bytes); }
  pasting.querySelector("textarea").value = text;
  parse();
});
pasting.querySelector("form").addEventListener("submit", async (event) => {
  if (event.submitter?.value !== "take") return;
  event.preventDefault();
  if (!parsed) await parse();
  if (!parsed) return;
  const names = [...meant.querySelectorAll("select")].map((one) => one.value);
  const places = names.map((name) => model.columns.findIndex((one) => one.name === name));
  const rows = parsed.rows.map((cells) => { const row = model.columns.map(() => ""); places.forEach((place, number) => { if (place >= 0 && !row[place]) row[place] = cells[number]; }); return row; });
  remember();
  model.rows = pasting.querySelector("[name=how]:checked").value === "append" ? [...model.rows, ...rows] : rows;
  pasting.close();
  keep(); move(0, 0);
});

// Bring files of a job folder.
const bringing = document.getElementById("bring");
bringing.querySelector("[data-do=send]").addEventListener("click", async () => {
  const told = bringing.querySelector(".wrong"), files = {};
  for (const file of bringing.querySelector("[name=files]").files) {
    const bytes = new Uint8Array(await file.arrayBuffer());
    let text = "";
    for (let place = 0; place < bytes.length; place += 32768) text += String.fromCharCode(...bytes.subarray(place, place + 32768));
    files[file.webkitRelativePath || file.name] = btoa(text);
  }
  const author = bringing.querySelector("[name=author]").value;
  const found = await ask("bring", { files: JSON.stringify(files), author }).catch(() => ({ text: say.lost }));
  if (!found.ok) { told.textContent = [found.text, ...(found.told || [])].filter(Boolean).join(" ") || say.lost; return; }
  localStorage.setItem("mainwright:author", author);
  for (const name of Object.keys(drafts())) if (found.taken.some((file) => file.startsWith(name))) localStorage.removeItem(keyOf(name));
  location.href = `/jobs/${found.name}/survey?table=${model.table}`;
});

root.querySelector(".grid-bar").addEventListener("click", (event) => {
  const what = event.target.closest("[data-do]")?.dataset.do;
  if (what === "add") add(model.rows.length ? Math.max(at.row, from.row) + 1 : 0);
  if (what === "remove" && model.rows.length) { const { top, bottom } = chosen(); remember(); model.rows.splice(top, bottom - top + 1); keep(); move(top, at.column); }
  if (what === "paste") openPaste("", null);
  if (what === "undo") undo();
  if (what === "bring") { bringing.querySelector("[name=author]").value = localStorage.getItem("mainwright:author") || ""; bringing.showModal(); }
});

saving.addEventListener("submit", async (event) => {
  event.preventDefault();
  wrong.textContent = "";
  const author = saving.author.value.trim();
  if (mine) put_down();
  const older = Object.entries(drafts()).filter(([, one]) => one.base !== say.base).map(([name]) => name).join(", ");
  if (older && older !== warned) { warned = older; wrong.textContent = `${say.replace} ${older}`; return; }
  const found = await ask("save", { cells: JSON.stringify(drafts()), author, base: say.base }).catch(() => ({ text: say.lost }));
  if (!found.ok) { wrong.textContent = found.text || say.lost; if (!author) saving.author.focus(); return; }
  localStorage.setItem("mainwright:author", author);
  for (const name of Object.keys(drafts())) { localStorage.removeItem(keyOf(name)); delete held[name]; }
  location.href = `/jobs/${found.name}/survey?table=${model.table}#editor`;
  if (location.pathname === `/jobs/${found.name}/survey`) location.reload();
});
saving.querySelector("[data-do=drop]").addEventListener("click", () => { for (const name of Object.keys(drafts())) { localStorage.removeItem(keyOf(name)); delete held[name]; } location.reload(); });
addEventListener("beforeunload", (event) => { if (Object.keys(held).length) event.preventDefault(); });

addEventListener("storage", (event) => {
  if (!mine || event.key !== keyOf(model.table)) return;
  wrong.textContent = say.other;
  if (event.newValue === null) put_down(); // it was saved or dropped there: what was typed here is still here
  tell();
});

// A thing on the ribbon opens its row here.
document.addEventListener("ribbon-open", (event) => {
  const link = new URL(event.detail.href, location.href);
  if (link.pathname !== say.src || link.searchParams.get("table") !== say.table) return;
  event.preventDefault();
  const row = Number(link.hash.replace("#row-", "")) - 1;
  if (row >= 0) { root.scrollIntoView({ block: "start" }); move(row, 0); }
});

async function begin() {
  saving.author.value = localStorage.getItem("mainwright:author") || "";
  for (const one of document.querySelectorAll("form[action$='/restore'] [name=author]")) one.value = saving.author.value;
  const answer = await fetch(`${say.src}/cells?table=${encodeURIComponent(say.table)}`);
  if (!answer.ok) return;
  model = await answer.json();
  single = model.shape === "single";
  const draft = drafts()[model.table];
  if (draft) {
    const places = model.columns.map((one) => draft.header.indexOf(one.name));
    model.rows = draft.rows.map((row) => places.map((place) => (place < 0 ? "" : row[place])));
    mine = draft.base;
    if (draft.base !== say.base) wrong.textContent = say.older;
  }
  heads(); take(model.faults); tell();
  root.dataset.ready = "yes";
  if (Object.keys(drafts()).length) check();
  const asked = Number(location.hash.replace("#row-", "")) - 1;
  if (asked >= 0) move(asked, 0);
}
begin();
