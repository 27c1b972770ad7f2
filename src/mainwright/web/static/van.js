// The page in the van: shows what it is told, and keeps what somebody presses until it is on disk.
const van = document.getElementById("van");
const words = van.dataset;
const run = words.run;
const base = words.base;
const query = `language=${words.language}&units=${words.units}`;
const by = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
let token = words.token;
let shown = {};
let skew = 0;
let lastTold = 0;

/* What is told. */
function show(told) {
  if (told.token) { token = told.token; for (const one of document.querySelectorAll("input[name=token]")) one.value = token; }
  if (told.now) skew = told.now * 1000 - Date.now();
  if (told.texts === undefined && told.n === undefined) return;
  shown = { ...shown, ...told };
  if (told.texts) for (const place of document.querySelectorAll("[data-v]")) {
    const text = told.texts[place.dataset.v];
    if (text !== undefined && place.textContent !== text) place.textContent = text;
  }
  if (told.states) for (const place of document.querySelectorAll("[data-s]")) {
    const state = told.states[place.dataset.s];
    if (state !== undefined && place.dataset.state !== state) place.dataset.state = state;
  }
  if (told.alarms) showAlarms(told.alarms);
  if (told.connections) showConnections(told.connections);
  if (told.feeds) showFeeds(told.feeds);
  if (told.gauge) showGauges(told.gauge);
  if (told.frame || told.strip) drawStrip();
}

function make(name, attributes, text) {
  const one = document.createElement(name);
  for (const [key, value] of Object.entries(attributes || {})) one.setAttribute(key, value);
  if (text !== undefined) one.textContent = text;
  return one;
}

function showAlarms(alarms) {
  const list = by("alarm-list");
  const focused = document.activeElement?.dataset?.code;
  list.replaceChildren(...alarms.map((one) => {
    const item = make("li", { class: [one.seen ? "" : "new", one.over ? "over" : ""].join(" ").trim() });
    const text = make("span");
    text.append(make("b", {}, one.text), make("small", { class: "numbers" }, [one.where, one.over, one.seen ? `${words.seenBy} ${one.seen}` : ""].filter(Boolean).join(" · ")));
    item.append(text);
    if (!one.seen) {
      const seen = make("button", { class: "press", type: "button", "data-code": one.code, "aria-label": `${words.seen}: ${one.text}` }, words.seen);
      seen.addEventListener("click", () => press({ what: "acknowledge", code: one.code }, one.text));
      item.append(seen);
    }
    return item;
  }));
  if (focused) list.querySelector(`[data-code="${CSS.escape(focused)}"]`)?.focus();
  const fresh = alarms.filter((one) => !one.seen).map((one) => one.text).join(". ");
  if (fresh !== by("told").dataset.alarms) { by("told").dataset.alarms = fresh; if (fresh) { by("told").textContent = fresh; document.querySelector("[popover]:popover-open")?.hidePopover(); } }
  by("alarm-count").textContent = alarms.length > 1 ? String(alarms.length) : "";
  ring(alarms.some((one) => !one.seen));
}

function showConnections(all) {
  const list = by("connection-list");
  const chosen = list.value;
  list.replaceChildren(...all.map((one) => {
    const option = make("option", { value: one.value }, `${one.text} · ${one.clock}`);
    option.disabled = one.clear;
    return option;
  }));
  const keep = all.find((one) => one.value === chosen && !one.clear) || all.find((one) => !one.clear);
  if (keep) list.value = keep.value;
}

function showFeeds(all) {
  by("feed-list").replaceChildren(...all.map((one) => {
    const item = make("li");
    item.append(make("b", {}, one.source), ` ${one.state}, ${one.latest}, ${one.readings}`);
    for (const signal of one.signals) item.append(make("p", {}, `▲ ${signal}`));
    return item;
  }));
}

function shape(parent, name, attributes, text) {
  const one = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
  if (text !== undefined) one.textContent = text;
  parent.append(one);
  return one;
}

function showGauges(gauge) {
  for (const name of ["thickness", "speed"]) {
    const place = by(`gauge-${name}`);
    place.replaceChildren();
    if (!gauge[name]) continue;
    const [low, aim, high, now] = gauge[name].map((value) => value * 100);
    shape(place, "rect", { class: "all", x: 0, y: 4, width: 100, height: 2 });
    shape(place, "rect", { class: "band", x: low, y: 1.5, width: Math.max(high - low, 0), height: 7 });
    shape(place, "line", { class: "aim", x1: aim, x2: aim, y1: 1.5, y2: 8.5 });
    if (now >= 0) shape(place, "line", { class: "now", x1: now, x2: now, y1: -1, y2: 11 });
  }
}

/* The picture along the run. */
function drawStrip() {
  const { frame, strip } = shown;
  const place = by("strip");
  const box = place.getBoundingClientRect();
  if (!frame || !strip || box.width < 60 || box.height < 40) return;
  const left = 28, right = 10, top = 12, bottom = 18;
  const wide = box.width - left - right, high = box.height - top - bottom;
  const x = (value) => Math.round(10 * (left + wide * (value - frame.start) / (frame.end - frame.start))) / 10;
  const y = (value) => Math.round(10 * (top + high * (1 - Math.min(Math.max(value, 0), frame.top) / frame.top))) / 10;
  place.setAttribute("viewBox", `0 0 ${box.width} ${box.height}`);
  place.replaceChildren();
  for (const [value, text] of frame.up) {
    shape(place, "line", { class: "grid", x1: left, x2: left + wide, y1: y(value), y2: y(value) });
    shape(place, "text", { x: left - 5, y: y(value) + 4, "text-anchor": "end" }, text);
  }
  for (const [value, text] of frame.across) {
    shape(place, "line", { class: "grid", x1: x(value), x2: x(value), y1: top + high, y2: top + high + 4 });
    shape(place, "text", { x: Math.min(Math.max(x(value), left + 8), left + wide - 12), y: top + high + 16, "text-anchor": "middle" }, text);
  }
  for (const [from, to, low, aim, most] of frame.lengths) {
    shape(place, "rect", { class: "asked", x: x(from), y: y(most ?? frame.top), width: Math.max(x(to) - x(from), 0), height: y(low) - y(most ?? frame.top) });
    shape(place, "line", { class: "minimum", x1: x(from), x2: x(to), y1: y(low), y2: y(low) });
    shape(place, "line", { class: "aim", x1: x(from), x2: x(to), y1: y(aim), y2: y(aim) });
    if (most !== null) shape(place, "line", { class: "maximum", x1: x(from), x2: x(to), y1: y(most), y2: y(most) });
  }
  const points = strip.at.length;
  if (points) {
    const up = [], down = [], line = [];
    for (let i = 0; i < points; i += 1) {
      up.push(`${x(strip.at[i])} ${y(strip.thick[i] + strip.sure[i])}`);
      down.push(`${x(strip.at[i])} ${y(strip.thick[i] - strip.sure[i])}`);
      line.push(`${x(strip.at[i])} ${y(strip.thick[i])}`);
    }
    shape(place, "path", { class: "sure", d: `M${up.join("L")}L${down.reverse().join("L")}Z` });
    shape(place, "path", { class: "thick", d: `M${line.join("L")}` });
  }
  for (const [at, clear] of strip.connections) shape(place, "circle", { class: clear ? "clear" : "open", cx: x(at), cy: top + high, r: 4 });
  if (strip.dry !== null) shape(place, "line", { class: "dry", x1: x(strip.dry), x2: x(strip.dry), y1: top, y2: top + high });
  if (strip.head !== null) {
    const at = x(strip.head), ahead = frame.way === "increasing" ? 8 : -8;
    shape(place, "line", { class: "head", x1: at, x2: at, y1: top, y2: top + high });
    shape(place, "path", { class: "head-mark", d: `M${at} ${top - 10}L${at + ahead} ${top - 5}L${at} ${top}Z` });
  }
  place.setAttribute("aria-label", `${words.chart}. ${shown.texts?.spoken ?? ""}`);
}
new ResizeObserver(drawStrip).observe(by("strip"));

/* The connection: a socket, and where there is none, asking. */
let socket = null;
let tries = 0;
function link(state, text) {
  by("link").dataset.state = state;
  by("link").textContent = text;
}
function heard() {
  lastTold = Date.now();
  van.classList.remove("stale");
  by("lost").dataset.state = "";
}
function connect() {
  const scheme = location.protocol === "https:" ? "wss" : "ws";
  socket = new WebSocket(`${scheme}://${location.host}${base}/feed?${query}`);
  socket.addEventListener("message", (event) => {
    tries = 0;
    heard();
    link("good", words.live);
    show(JSON.parse(event.data));
    empty();
  });
  socket.addEventListener("close", () => {
    socket = null;
    tries += 1;
    setTimeout(connect, Math.min(500 * tries, 5000));
  });
}
async function ask() {
  if (socket && socket.readyState === 1) return;
  try {
    const answer = await fetch(`${base}/screen?${query}`, { cache: "no-store" });
    if (!answer.ok) return;
    show(await answer.json());
    heard();
    link("watch", words.asking);
    empty();
  } catch { /* the watch below tells it */ }
}
setInterval(ask, 1000);
setInterval(() => { if (socket && socket.readyState === 1) socket.send(""); }, 15000);
setInterval(() => {
  if (!lastTold || Date.now() - lastTold < 3000) return;
  van.classList.add("stale");
  link("bad", words.lost);
  by("lost").dataset.state = "bad";
  const text = `${words.lost[0].toUpperCase()}${words.lost.slice(1)}. ${words.lostSince} ${new Date(lastTold + skew).toLocaleTimeString(words.language)}.`;
  if (by("lost").textContent !== text) by("lost").textContent = text;
}, 500);
setInterval(() => { if (shown.texts) by("spoken").textContent = shown.texts.spoken; }, 20000);

/* What is pressed: kept here until it is on disk there. A press has a name, so that twice sent is once done. */
const place = `mainwright ${base}`;
const keep = {
  get: (name, other) => { try { return JSON.parse(localStorage.getItem(`${place} ${name}`)) ?? other; } catch { return other; } },
  set: (name, value) => { try { localStorage.setItem(`${place} ${name}`, JSON.stringify(value)); } catch { /* then it lives as long as the page */ } },
};
let outbox = keep.get("outbox", []);
let name = words.name || keep.get("name", "");  // a device that was let in has its name
const came = new URLSearchParams(location.hash.slice(1)).get("who");
if (came) { if (!words.name) name = came; keep.set("name", name); history.replaceState(null, "", location.pathname); }
let sending = false;
const unique = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), (one) => one.toString(16).padStart(2, "0")).join("");

function press(fields, label, moment) {
  outbox.push({ label, fields: { who: name, pressed_s: ((moment ?? Date.now()) + skew) / 1000, press: unique(), ...fields } });
  keep.set("outbox", outbox);
  showOutbox();
  empty();
}
async function empty() {
  const next = outbox.find((one) => !one.refused);
  if (sending || !next) return;
  sending = true;
  let again = 2000;
  try {
    const answer = await fetch(`${base}/do`, {
      method: "POST",
      headers: { accept: "application/json", "content-type": "application/x-www-form-urlencoded" },
      body: new URLSearchParams({ ...next.fields, token, language: words.language, units: words.units }),
    });
    const said = await answer.json().catch(() => null);
    if (answer.status === 200) {
      outbox = outbox.filter((one) => one !== next);
      by("told").textContent = `${next.label}: ${words.done}`;
      again = 0;
    } else if (answer.status !== 202 && answer.status < 500 && said) {
      next.refused = said.text;
      by("told").textContent = `${next.label}: ${said.text}`;
      again = 0;
    }
  } catch { /* tried again */ }
  sending = false;
  keep.set("outbox", outbox);
  showOutbox();
  if (again === 0) empty();
  else setTimeout(empty, again);
}
function showOutbox() {
  by("outbox").replaceChildren(...outbox.map((one) => {
    const item = make("li", one.refused ? { class: "refused" } : {});
    item.append(make("b", {}, one.label), make("span", {}, one.refused || words.kept));
    if (one.refused) {
      const forget = make("button", { class: "press", type: "button" }, words.forget);
      forget.addEventListener("click", () => { outbox = outbox.filter((other) => other !== one); keep.set("outbox", outbox); showOutbox(); });
      item.append(forget);
    }
    return item;
  }));
}

let openedAt = 0;
for (const button of document.querySelectorAll("[data-open]")) {
  button.addEventListener("click", () => {
    openedAt = Date.now();
    const box = by(button.dataset.open);
    const pressed = box.querySelector(".pressed");
    if (pressed) pressed.textContent = `${words.pressed} ${new Date(openedAt + skew).toLocaleTimeString(words.language)}`;
    const who = box.querySelector("input[name=who]");
    if (who) who.value = name;
    box.showModal();
  });
}
for (const button of document.querySelectorAll("[data-close]")) button.addEventListener("click", () => button.closest("dialog").close());
for (const form of document.querySelectorAll(`form[action="${base}/do"]`)) {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const fields = Object.fromEntries(new FormData(form));
    const box = form.closest("dialog");
    delete fields.token;
    if (fields.what === "charge") {
      name = words.name || fields.who.trim();
      if (!name) return;
      keep.set("name", name);
      fields.who = name;
    } else if (!name || (shown.states && shown.states.charge !== name)) {
      box?.close();
      openedAt = Date.now();
      by("charge").querySelector("input[name=who]").value = name;
      by("charge").showModal();
      return;
    } else {
      delete fields.who;
    }
    const label = [box ? box.querySelector("h2").textContent : form.querySelector("button").textContent, fields.chainage_m ?? fields.chainage_ft ?? ""].filter(Boolean).join(" ");
    press(fields, label, box ? openedAt : undefined);
    box?.close();
    if (fields.what !== "charge") form.reset();
  });
}

/* Sound: own tones, three falling ones while somebody must look. A browser lets a page sound once somebody has touched it. */
let sound = null;
let loud = keep.get("sound", true);
let ringing = null;
const sounding = () => sound !== null && sound.state === "running";
function tones() {
  if (!loud || !sounding()) return;
  [880, 660, 495].forEach((pitch, step) => {
    const begin = sound.currentTime + 0.24 * step;
    const tone = sound.createOscillator(), volume = sound.createGain();
    tone.type = "triangle";
    tone.frequency.value = pitch;
    volume.gain.setValueAtTime(0.0001, begin);
    volume.gain.exponentialRampToValueAtTime(0.5, begin + 0.02);
    volume.gain.exponentialRampToValueAtTime(0.0001, begin + 0.22);
    tone.connect(volume).connect(sound.destination);
    tone.start(begin);
    tone.stop(begin + 0.24);
  });
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.([200, 100, 200]);
  van.dataset.rung = String(Number(van.dataset.rung || 0) + 1);
}
function ring(on) {
  if (on && !ringing) { tones(); ringing = setInterval(tones, 3000); }
  if (!on && ringing) { clearInterval(ringing); ringing = null; }
}
function showSound() {
  const waits = loud && !sounding();
  van.dataset.sounding = sound === null ? "" : sound.state;
  by("sound").setAttribute("aria-pressed", String(loud));
  by("sound").textContent = waits ? words.soundWaits : loud ? words.soundOn : words.soundOff;
  by("sound").dataset.state = waits ? "watch" : "";
  by("touch").dataset.state = waits ? "watch" : "";
}
function unlock() {
  if (!loud || sounding()) return;
  if (sound === null) {
    sound = new AudioContext();
    sound.addEventListener("statechange", () => { showSound(); if (ringing) tones(); });
  }
  sound.resume().catch(() => { /* the page goes on saying that it waits for a touch */ });
  showSound();
}
by("sound").addEventListener("click", () => {
  if (!loud || sounding()) {
    loud = !loud;
    keep.set("sound", loud);
  }
  unlock();
  showSound();
});
for (const touch of ["pointerup", "keydown"]) addEventListener(touch, (event) => { if (!event.target.closest?.("#sound")) unlock(); });
unlock();
showSound();

/* The machine stays awake while the page is seen, where it lets us. */
async function stayAwake() { try { await navigator.wakeLock?.request("screen"); } catch { /* it is not let */ } }
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible") stayAwake(); });
stayAwake();

show(JSON.parse(by("first").textContent));
showOutbox();
connect();
empty();
