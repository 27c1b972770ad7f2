// Keeps the screen in the van up to date, keeps what was pressed until it is on disk, and sounds alarms.
"use strict";
(() => {
  const van = document.getElementById("van");
  const run = van.dataset.run;
  const here = `/runs/${encodeURIComponent(run)}`;
  const keep = (name, fallback) => { try { return JSON.parse(localStorage.getItem(name)) ?? fallback; } catch { return fallback; } };
  const put = (name, value) => { try { localStorage.setItem(name, JSON.stringify(value)); } catch { /* a full or forbidden store keeps nothing */ } };
  const queueName = `mainwright-presses-${run}`;

  // What the page shows.
  let ahead = 0; // the server's clock against ours, seconds
  let view = null;
  const same = (node, html) => node.dataset.shown === html;
  const element = (name, classes, text) => { const made = document.createElement(name); if (classes) made.className = classes; if (text !== undefined) made.textContent = text; return made; };
  const lists = {
    feeds: (one) => element("span", `state ${one.state}`, `${one.source}: ${one.text}`),
    connections: (one) => { const row = element("li"); row.append(element("span", "", one.text), " ", element("span", `state ${one.state}`, one.when)); return row; },
    alarms: (one) => {
      const row = element("form", `alarm${one.active ? "" : " over"}${one.seen ? " seen" : ""}`);
      const text = element("span");
      text.append(element("strong", "", one.text), " ", element("span", "", one.where));
      row.append(text);
      if (!one.seen) {
        const button = element("button", "press", van.dataset.acknowledge);
        button.type = "button";
        button.addEventListener("click", () => press({ do: "acknowledge", code: one.code, who: who() }));
        row.append(button);
      }
      return row;
    },
  };
  function show(next) {
    view = next;
    ahead = next.now - Date.now() / 1000;
    van.dataset.phase = next.phase;
    for (const node of van.querySelectorAll("[data-text]")) {
      const text = next.texts[node.dataset.text] ?? "";
      if (node.textContent !== text) node.textContent = text;
      if (node.dataset.hide) node.hidden = !text;
    }
    for (const node of van.querySelectorAll("[data-state]")) node.className = `state ${next.states[node.dataset.state]}`;
    for (const node of van.querySelectorAll("[data-state-of]")) node.dataset.level = next.states[node.dataset.stateOf];
    for (const node of van.querySelectorAll("[data-list]")) {
      const rows = next[node.dataset.list];
      const key = JSON.stringify(rows);
      if (same(node, key)) continue;
      const focus = node.contains(document.activeElement);
      node.dataset.shown = key;
      node.replaceChildren(...rows.map(lists[node.dataset.list]));
      if (node.dataset.list === "connections" && !rows.length) node.append(element("li", "quiet", document.querySelector(".acts").dataset.none));
      if (focus) node.querySelector("button")?.focus();
    }
    for (const node of van.querySelectorAll("[data-svg]")) {
      const svg = next[node.dataset.svg];
      if (!same(node, svg)) { node.dataset.shown = svg; node.innerHTML = svg; }
    }
    for (const node of van.querySelectorAll("[data-options]")) {
      if (node.closest("details").open) continue;
      const key = JSON.stringify(next[node.dataset.options]);
      if (same(node, key)) continue;
      node.dataset.shown = key;
      const factor = node.name.endsWith("_ft") ? 1 / 0.3048 : 1;
      node.replaceChildren(...next[node.dataset.options].map((one) => new Option(one.text, String(one.chainage * factor))));
    }
    sound(next.sound);
  }

  // How it comes: told by the server, asked for where that does not work.
  const offline = document.getElementById("offline");
  let failures = 0;
  function connected(yes) {
    offline.hidden = yes;
    if (!yes) offline.textContent = van.dataset.offline;
    if (yes) { failures = 0; flush(); }
  }
  function listen() {
    const socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}${here}/live`);
    let heard = 0;
    const quiet = setInterval(() => { if (heard && Date.now() - heard > 6000) socket.close(); }, 1000);
    socket.addEventListener("message", (event) => { heard = Date.now(); connected(true); show(JSON.parse(event.data)); });
    socket.addEventListener("close", () => {
      clearInterval(quiet);
      failures += 1;
      if (failures > 1) ask();
      setTimeout(listen, Math.min(500 * 2 ** Math.min(failures, 4), 5000));
    });
  }
  async function ask() {
    try {
      const answer = await fetch(`${here}/live.json`, { cache: "no-store" });
      if (!answer.ok) throw new Error(answer.status);
      show(await answer.json());
      connected(true);
    } catch { connected(false); }
  }

  // What is pressed: kept here until it is on disk, sent again until the server says so; a press has a name, so that it is done once.
  const waiting = document.getElementById("waiting");
  const who = () => keep("mainwright-name", "") || van.querySelector("input[name=who]").value;
  const token = () => document.querySelector("input[name=token]").value;
  let sending = false;
  let later = 0;
  function tell(text) { waiting.hidden = !text; waiting.textContent = text; }
  function press(fields, at) {
    const queue = keep(queueName, []);
    // Not crypto.randomUUID: it is only there on secure addresses, and the van's is a plain one.
    const name = `${Date.now().toString(36)}-${Math.random().toString(36).slice(2, 12)}`;
    queue.push({ ...fields, press: name, at: (at ?? Date.now() / 1000 + ahead).toFixed(3) });
    put(queueName, queue);
    flush();
  }
  async function flush() {
    if (sending) return;
    sending = true;
    try {
      for (let queue = keep(queueName, []); queue.length; queue = keep(queueName, [])) {
        tell(`${queue.length} × ${van.dataset.waiting}`);
        const answer = await fetch(`${here}/do`, { method: "POST", headers: { accept: "application/json" }, body: new URLSearchParams({ ...queue[0], token: token() }) });
        if (answer.status === 403) { await renew(); throw new Error("token"); }
        if (answer.status >= 500) throw new Error(answer.status);
        put(queueName, keep(queueName, []).slice(1));
        const said = answer.status === 200 ? "" : (await answer.json()).text;
        tell(said);
        if (said) { clearTimeout(later); later = setTimeout(() => tell(""), 12000); }
      }
    } catch { setTimeout(flush, 2000); } finally { sending = false; }
  }
  async function renew() {
    const text = await (await fetch(location.href, { cache: "no-store" })).text();
    const fresh = new DOMParser().parseFromString(text, "text/html").querySelector("input[name=token]");
    if (fresh) for (const node of document.querySelectorAll("input[name=token]")) node.value = fresh.value;
  }
  for (const details of van.querySelectorAll("details.act")) {
    let opened = null;
    details.addEventListener("toggle", () => {
      if (!details.open) return;
      opened = Date.now() / 1000 + ahead;
      const name = keep("mainwright-name", "");
      const field = details.querySelector("input[name=who]");
      if (name) field.value = name;
      details.querySelector("input:not([type=hidden]), select, textarea, button")?.focus();
    });
    details.querySelector("form").addEventListener("submit", (event) => {
      event.preventDefault();
      const fields = Object.fromEntries(new FormData(event.target));
      delete fields.token;
      put("mainwright-name", fields.who);
      press(fields, fields.do === "mark" ? opened : undefined);
      for (const field of event.target.querySelectorAll("input:not([type=hidden]):not([name=who]), textarea")) field.value = "";
      details.open = false;
      details.querySelector("summary").focus();
    });
  }
  document.addEventListener("keydown", (event) => { if (event.key === "Escape") for (const one of van.querySelectorAll("details.act[open]")) { one.open = false; one.querySelector("summary").focus(); } });
  document.addEventListener("click", (event) => { for (const one of van.querySelectorAll("details.act[open]")) if (!one.contains(event.target)) one.open = false; });
  van.addEventListener("submit", (event) => {
    const form = event.target.closest("form.alarm");
    if (!form) return;
    event.preventDefault();
    press({ do: "acknowledge", code: form.elements.code.value, who: who() });
  });

  // Sound: two tones that fall, again and again until every alarm was seen.
  const button = document.getElementById("sound");
  let on = keep("mainwright-sound", true);
  let audio = null;
  let loud = null;
  function beep() {
    if (!on) return;
    audio ??= new AudioContext();
    if (audio.state === "suspended") { audio.resume(); }
    [[880, 0], [622, 0.22]].forEach(([pitch, after]) => {
      const tone = audio.createOscillator();
      const level = audio.createGain();
      tone.frequency.value = pitch;
      level.gain.setValueAtTime(0.0001, audio.currentTime + after);
      level.gain.exponentialRampToValueAtTime(0.25, audio.currentTime + after + 0.02);
      level.gain.exponentialRampToValueAtTime(0.0001, audio.currentTime + after + 0.2);
      tone.connect(level).connect(audio.destination);
      tone.start(audio.currentTime + after);
      tone.stop(audio.currentTime + after + 0.22);
    });
  }
  function sound(wanted) {
    van.dataset.sounding = wanted && on;
    if (wanted && !loud) { beep(); loud = setInterval(beep, 1600); }
    if (!wanted && loud) { clearInterval(loud); loud = null; }
  }
  function label() { button.textContent = on ? button.dataset.on : button.dataset.off; button.setAttribute("aria-pressed", String(on)); }
  button.hidden = false;
  label();
  button.addEventListener("click", () => { on = !on; put("mainwright-sound", on); label(); sound(view?.sound ?? false); });

  listen();
  flush();
})();
