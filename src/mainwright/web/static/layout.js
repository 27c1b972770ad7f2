// The layout at work: openings are moved on the ribbon, by keyboard or as numbers; price and limits come at once.
const root = document.getElementById("desk"), say = root.dataset;
const begun = JSON.parse(document.getElementById("layout-state").textContent);
const ribbonBox = document.querySelector(".ribbon"), wrong = root.querySelector(".wrong"), bestLine = root.querySelector(".best");
const near = (a, b) => Math.abs(a - b) < 1e-6;
let openings = [...begun.openings], locked = new Set(begun.locked), forbidden = new Set(begun.forbidden), choose = begun.choose;
let told = null, best = null, asking = false, again = false, timer = 0, ribbon = null, layer = null, dragging = null;

const isLocked = (at) => [...locked].some((one) => near(one, at));
const isEnd = (at) => near(at, ribbon.start) || near(at, ribbon.end);
const round = (at) => Math.round(Math.min(ribbon.end, Math.max(ribbon.start, at)) * 10) / 10;

async function ask(path, fields) {
  const answer = await fetch(`${say.src}/${path}`, { method: "POST", body: new URLSearchParams({ token: say.token, planned: begun.planned ?? "", ...fields }), headers: { accept: "application/json" } });
  const found = await answer.json().catch(() => ({}));
  return { ok: answer.ok, ...found };
}

// One question at a time, and always the one that is wanted now.
async function price() {
  if (asking) { again = true; return; }
  asking = true;
  try {
    const from = performance.now(), found = await ask("try", { openings: JSON.stringify(openings) });
    if (found.ok) {
      told = found; told.time = performance.now() - from; wrong.textContent = "";
      if (!again) openings = found.openings.map((one) => one.at); // what was changed meanwhile stands
    } else wrong.textContent = found.text || say.lost;
  } catch { wrong.textContent = say.lost; }
  asking = false;
  if (again) { again = false; price(); return; }
  show();
}

async function search() {
  bestLine.textContent = "…";
  const found = await ask("search", { locked: JSON.stringify([...locked]), forbidden: JSON.stringify([...forbidden]), choose }).catch(() => ({ text: say.lost }));
  best = found.ok && found.cost !== null ? found : null;
  bestLine.textContent = !found.ok ? found.text || say.lost : best ? `${say.best} ${found.costs}${found.more ? ` (${say.more} ${found.more})` : ""}` : `${say.none} ${found.stops.join(" ")}`;
  root.querySelector("[data-do=take]").disabled = !best;
}

function changed(searching = true) {
  price();
  if (searching) { clearTimeout(timer); timer = setTimeout(search, 150); }
}

const cell = (name, text, kind = "") => { const one = document.createElement(name); one.textContent = text; if (kind) one.className = kind; return one; };
const press = (text, label, does) => { const one = document.createElement("button"); one.type = "button"; one.className = "press"; one.textContent = text; one.setAttribute("aria-label", label); one.onclick = does; return one; };
const number = (at) => ribbon.text(at);
const typed = (text) => Number(text.replace(",", ".").replace(/[^0-9.+-]/g, "")) / ribbon.per;

function show() {
  if (!told || !ribbon) return;
  root.querySelector("[data-show=cost]").textContent = told.costs;
  root.querySelector("[data-show=more]").textContent = told.more ? `${say.more} ${told.more}` : "";
  const keeps = root.querySelector("[data-show=keeps]");
  keeps.className = `state ${told.keeps ? "good" : "bad"}`; keeps.textContent = told.keeps ? say.keeps : say.breaks;
  root.dataset.time = told.time.toFixed(1);
  root.dataset.shown = openings.join(" ");
  place();
  if (!dragging) lists();
}

function lists() {
  const focused = document.activeElement?.dataset?.key;
  root.querySelector("[data-list=openings]").replaceChildren(...told.openings.map((one, place_) => {
    const row = document.createElement("tr"), fixed = document.createElement("input"), at = document.createElement("input"), end = isEnd(one.at);
    row.append(cell("th", place_ + 1));
    row.firstChild.scope = "row";
    const where = cell("td", "", "right"), check = cell("td", ""), what = cell("td", "");
    if (end) where.textContent = number(one.at); else {
      at.type = "text"; at.inputMode = "decimal"; at.value = number(one.at).replace(` ${ribbon.unit}`, ""); at.dataset.key = `at-${place_}`; at.setAttribute("aria-label", `${say.opening} ${place_ + 1}`);
      at.onchange = () => moveTo(one.at, typed(at.value));
      where.append(at);
      fixed.type = "checkbox"; fixed.checked = isLocked(one.at); fixed.dataset.key = `fix-${place_}`; fixed.setAttribute("aria-label", `${say.fix}: ${say.opening} ${place_ + 1}`);
      fixed.onchange = () => { if (fixed.checked) locked.add(one.at); else unlock(one.at); changed(); };
      check.append(fixed);
      what.append(press(say.remove, `${say.remove}: ${say.opening} ${place_ + 1}`, () => { unlock(one.at); openings = openings.filter((other) => !near(other, one.at)); changed(); }), " ", press(say.forbid, `${say.forbid}: ${say.opening} ${place_ + 1}`, () => { unlock(one.at); forbidden.add(one.at); openings = openings.filter((other) => !near(other, one.at)); changed(); }));
    }
    row.append(where, cell("td", one.barred ? say.barred : one.surface), cell("td", one.costs, "right"), check, what);
    return row;
  }));
  root.querySelector("[data-list=runs]").replaceChildren(...told.runs.map((one) => {
    const row = document.createElement("tr");
    row.append(cell("td", number(one.start), "right"), cell("td", number(one.end), "right"), cell("td", one.length, "right"), cell("td", one.costs, "right"), cell("td", one.broken.join("; ") || "✓", one.broken.length ? "says broken" : "says"));
    return row;
  }));
  root.querySelector("[data-list=forbidden]").replaceChildren(...[...forbidden].sort((a, b) => a - b).map((one) => press(`${number(one)} · ${say.allow}`, `${say.allow}: ${number(one)}`, () => { forbidden.delete(one); changed(); })));
  if (focused) root.querySelector(`[data-key="${focused}"]`)?.focus();
}

function unlock(at) { for (const one of [...locked]) if (near(one, at)) locked.delete(one); }

function moveTo(from, to) {
  const there = round(to);
  if (!Number.isFinite(there) || near(from, there) || isEnd(from)) { show(); return; }
  openings = openings.map((one) => (near(one, from) ? there : one));
  unlock(from); locked.add(there); forbidden.delete(there);
  changed();
}

// Openings and runs over the ribbon.
function place() {
  if (!layer || !told) return;
  const strip = layer.querySelector(".strip"), cover = layer.querySelector(".cover");
  cover.style.width = `${ribbon.left - 6}px`;
  strip.replaceChildren(...told.runs.filter((one) => one.end > ribbon.low && one.start < ribbon.high).map((one) => {
    const bar = cell("div", one.length, `run${one.broken.length ? " broken" : ""}`), left = ribbon.x(one.start) + 2;
    const wide = Math.max(1, ribbon.x(one.end) - left - 2);
    if (wide < 24 + 7 * one.length.length) bar.textContent = ""; // the table below says it
    bar.dataset.way = one.way; bar.style.left = `${left}px`; bar.style.width = `${wide}px`; bar.title = one.broken.join("; ") || one.length;
    return bar;
  }));
  // Where openings stand closer than a finger is wide, short marks stand for them: lines and numbers of all would hide the main.
  const shown_ = openings.filter((at) => at >= ribbon.low && at <= ribbon.high).length;
  layer.classList.toggle("dense", shown_ * 24 > ribbon.inner);
  const grips = [...layer.querySelectorAll(".grip")];
  openings.forEach((at, place_) => {
    const grip = grips[place_] || layer.insertBefore(makeGrip(), cover), one = told.openings.find((other) => near(other.at, at));
    const fixed = isLocked(at), end = isEnd(at), x = ribbon.x(at);
    grip.className = `grip${fixed ? " fixed" : ""}${one?.barred ? " barred" : ""}${end ? " end" : ""}`;
    grip.dataset.grip = place_; grip.hidden = x < ribbon.left - 14 || x > ribbon.view.clientWidth + 13;
    grip.firstChild.textContent = place_ + 1; grip.style.left = `${x}px`;
    // What is said changes with the layout, not with the window: a screen reader is told once.
    const words = [number(at), end ? say.end : fixed ? say.fixed : say.free, one?.barred ? say.barred : one?.surface, one?.costs].filter(Boolean).join(", ");
    if (grip.getAttribute("aria-valuetext") === words) return;
    grip.setAttribute("aria-label", `${say.opening} ${place_ + 1}`);
    grip.setAttribute("aria-valuemin", ribbon.start); grip.setAttribute("aria-valuemax", ribbon.end); grip.setAttribute("aria-valuenow", at);
    grip.setAttribute("aria-valuetext", words);
  });
  grips.slice(openings.length).forEach((one) => one.remove());
}

function makeGrip() {
  const grip = document.createElement("div");
  grip.tabIndex = 0; grip.setAttribute("role", "slider");
  grip.append(document.createElement("span"));
  grip.addEventListener("pointerdown", (event) => {
    const at = openings[grip.dataset.grip];
    event.stopPropagation();
    if (isEnd(at)) return;
    grip.setPointerCapture(event.pointerId);
    dragging = { from: at, to: at };
  });
  grip.addEventListener("pointermove", (event) => {
    event.stopPropagation();
    if (!dragging) return;
    const place_ = openings.findIndex((one) => near(one, dragging.to)), low = openings[place_ - 1], high = openings[place_ + 1];
    const there = Math.min(high - 0.1, Math.max(low + 0.1, round(ribbon.chainage(ribbon.local(event)))));
    if (place_ < 0 || near(there, dragging.to)) return;
    const fixed = isLocked(dragging.to);
    openings[place_] = there;
    if (fixed) { unlock(dragging.to); locked.add(there); }
    dragging.to = there;
    grip.style.left = `${ribbon.x(there)}px`;
    ribbon.set(there);
    price();
  });
  const ended = (event) => {
    event.stopPropagation();
    if (!dragging) return;
    const moved = dragging; dragging = null;
    if (!near(moved.from, moved.to)) { unlock(moved.from); locked.add(moved.to); changed(); } else show();
  };
  grip.addEventListener("pointerup", ended);
  grip.addEventListener("pointercancel", ended);
  grip.addEventListener("keydown", (event) => {
    event.stopPropagation();
    const at = openings[grip.dataset.grip], step = event.shiftKey ? 10 : 1;
    const way = { ArrowLeft: -step, ArrowDown: -step, ArrowRight: step, ArrowUp: step, PageUp: 10, PageDown: -10 }[event.key];
    if (way && !isEnd(at)) { event.preventDefault(); moveTo(at, at + way); }
    if ((event.key === " " || event.key === "l") && !isEnd(at)) { event.preventDefault(); if (isLocked(at)) unlock(at); else locked.add(at); changed(); }
    if (event.key === "Delete" && !isEnd(at)) { event.preventDefault(); unlock(at); openings = openings.filter((one) => !near(one, at)); changed(); }
  });
  return grip;
}

root.addEventListener("change", (event) => {
  if (event.target.name !== "choose") return;
  choose = event.target.value;
  if (!locked.size && !forbidden.size && begun.alternatives[choose]) openings = [...begun.alternatives[choose]];
  changed();
});
root.querySelector(".grid-bar").addEventListener("click", (event) => {
  const what = event.target.closest("[data-do]")?.dataset.do;
  if (what === "take" && best) { openings = [...best.openings]; price(); }
  if (what === "fixall") { openings.filter((one) => !isEnd(one)).forEach((one) => { if (!isLocked(one)) locked.add(one); }); changed(); }
  if (what === "free") { locked.clear(); forbidden.clear(); changed(); }
  if (what === "back") { openings = [...begun.openings]; locked = new Set(begun.locked); forbidden = new Set(begun.forbidden); changed(); }
});
root.querySelector("form.add").addEventListener("submit", (event) => {
  event.preventDefault();
  const at = round(typed(event.target.at.value));
  if (!event.target.at.value.trim() || !Number.isFinite(at)) return;
  if (!openings.some((one) => near(one, at))) openings = [...openings, at].sort((a, b) => a - b);
  locked.add(at); forbidden.delete(at); event.target.reset();
  changed();
});
const saving = root.querySelector("form.save");
saving.author.value = localStorage.getItem("mainwright:author") || "";
saving.addEventListener("submit", async (event) => {
  event.preventDefault();
  const author = saving.author.value.trim();
  const found = await ask("save", { locked: JSON.stringify([...locked]), forbidden: JSON.stringify([...forbidden]), choose, author, base: say.base }).catch(() => ({ text: say.lost }));
  if (!found.ok) { wrong.textContent = found.text || say.lost; if (!author) saving.author.focus(); return; }
  localStorage.setItem("mainwright:author", author);
  location.href = `/jobs/${found.name}/layout`;
});

function begin() {
  ribbon = ribbonBox.ribbon;
  layer = document.createElement("div");
  layer.className = "work";
  layer.append(cell("div", "", "strip"), cell("div", root.querySelector("[data-list=openings]").closest("table").caption.textContent, "cover"));
  ribbon.view.parentElement.append(layer);
  ribbon.listeners.push(place);
  price();
  // With nothing fixed the best layout is the plan's own: nobody needs to look for it.
  if (locked.size || forbidden.size || !begun.alternatives[choose]) { search(); return; }
  best = { openings: begun.alternatives[choose] };
  bestLine.textContent = `${say.best} ${begun.costs[choose]}`;
  root.querySelector("[data-do=take]").disabled = false;
}
if (ribbonBox.ribbon) begin(); else document.addEventListener("ribbons-ready", begin, { once: true });
