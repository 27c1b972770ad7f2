// The chainage ribbon on a page. The server draws a length three times as wide as the window, so that it can be dragged at once. While a hand moves,
// what is drawn already is slid and stretched; it is drawn anew when the hand rests, where a drag has come to the end of what is drawn, and now and
// then while a hand does not rest. One drawing is asked for at a time, and always the one that is wanted now.
import { fills, letters, paint, read, sheet, sliced } from "static:ribbon_paint.js";

const POINT_MARGIN = 92, POINT_RIGHT = 16, POINT_HELD = POINT_MARGIN - 4.5, CLOSEST = 8, REST = 120, LONGEST = 1000, WIDEST = 12000;

class Ribbon {
  constructor(element) {
    this.element = element;
    const data = element.dataset;
    this.src = data.src;
    this.start = +data.start; this.end = +data.end;
    this.per = +data.per; this.unit = data.unit; this.mark = data.mark; this.lanesAsked = data.lanes; this.extra = +data.extra || 0;
    this.view = element.querySelector(".ribbon-view");
    this.body = element.querySelector(".ribbon-body");
    this.margin = element.querySelector(".ribbon-margin");
    this.line = element.querySelector(".ribbon-cursor");
    this.told = element.querySelector(".ribbon-read");
    this.span = element.querySelector(".ribbon-span");
    this.low = this.start; this.high = this.end;
    this.drawn = null; this.asking = false; this.again = false;
    this.at = this.start; this.lanes = []; this.points = []; this.cells = [];
    this.listeners = [];
    this.pointers = new Map();
    this.measure();
    this.listen();
    new ResizeObserver(() => { this.measure(); this.wanted(); }).observe(this.view);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.wanted(true));
    addEventListener("beforeprint", () => this.forPaper());
    addEventListener("afterprint", () => this.forScreen());
    this.words();
  }

  // How many dots of the screen a point of the drawing takes: the type of a paper is too small for a screen.
  get point() { return this.width < 600 ? 1.2 : 1.5; }
  get left() { return POINT_MARGIN * this.point; }
  get inner() { return Math.max(60, this.width - this.left - POINT_RIGHT * this.point); }
  // Asked of the browser only where it can have changed: in the middle of a move the question would have the page laid out again.
  measure() { this.width = this.view.clientWidth; this.edge = this.view.getBoundingClientRect().left; }
  get scale() { return this.inner / (this.high - this.low); }
  x(chainage) { return this.left + (chainage - this.low) * this.scale; }
  chainage(x) { return Math.min(this.end, Math.max(this.start, this.low + (x - this.left) / this.scale)); }
  text(chainage) { return `${(chainage * this.per).toFixed(1).replace(".", this.mark)} ${this.unit}`; }
  dark() {
    const light = document.documentElement.dataset.light;
    return light === "dark" || (light !== "light" && matchMedia("(prefers-color-scheme: dark)").matches);
  }

  async words() {
    const answer = await fetch(`${this.src}.json`);
    if (!answer.ok) return;
    const found = await answer.json();
    this.lanes = found.lanes;
    this.points = found.lanes.flatMap((lane) => (lane.points || []).map((one) => ({ at: one[0], text: `${lane.name}: ${one[1]}`, href: one[2] }))).sort((a, b) => a.at - b.at);
    this.told.replaceChildren();
    this.cells = [{ name: this.element.dataset.metre }, ...this.lanes].map((lane) => {
      const box = document.createElement("div"), head = document.createElement("dt"), cell = document.createElement("dd");
      head.textContent = lane.name; box.append(head, cell); this.told.append(box);
      return cell;
    });
    this.read();
  }

  // What is wanted now: shown at once as far as it is drawn, else asked for.
  wanted(anew = false) {
    if (this.width < 100) return; // not laid out
    clearTimeout(this.rest);
    if (!this.drawn || anew) { this.ask(); return; }
    this.place();
    const wide = this.high - this.low, same = Math.abs(this.drawn.scale / this.scale - 1) < 1e-6;
    const holds = (room) => (this.drawn.low <= this.low - room || this.drawn.low <= this.start + 1e-9) && (this.drawn.high >= this.high + room || this.drawn.high >= this.end - 1e-9);
    if (same && holds(wide * 0.25)) { this.since = 0; return; }
    this.since ||= performance.now();
    if ((same && !holds(0)) || performance.now() - this.since > LONGEST) this.ask();
    else this.rest = setTimeout(() => this.ask(), REST);
  }

  async ask() {
    if (this.asking) { this.again = true; return; }
    this.asking = true; this.since = 0;
    const wide = this.high - this.low, scale = this.scale, point = this.point, sharp = Math.max(1, devicePixelRatio || 1);
    const beside = Math.min(1, Math.max(0.3, (WIDEST / (this.inner * sharp) - 1) / 2)) * wide;
    const low = Math.max(this.start, this.low - beside), high = Math.min(this.end, this.high + beside);
    const width = POINT_MARGIN + POINT_RIGHT + ((high - low) * scale) / point;
    const query = new URLSearchParams({ from: low, to: high, width: width.toFixed(3), light: this.dark() ? "dark" : "light", lanes: this.lanesAsked });
    try {
      const [answer] = await Promise.all([fetch(`${this.src}.svg?${query}`), letters()]);
      if (answer.ok) await this.take(await answer.text(), { low, high, scale, point, sharp });
    } finally {
      this.asking = false;
      if (this.again) { this.again = false; this.wanted(); }
    }
  }

  async take(text, drawn) {
    const { point, sharp } = drawn, drawing = read(text), filled = {};
    const [body, pen] = sheet(drawing.width, drawing.height, point, sharp), [margin, marginPen] = sheet(POINT_HELD, drawing.height, point, sharp);
    const work = function* () {
      Object.assign(filled, fills(drawing.patterns, pen, point * sharp));
      for (const [name, one] of drawing.marks()) {
        const held = name === "text" && !one.transform && one["text-anchor"] !== "middle" && +one.x < POINT_MARGIN - 2;
        // The margin ends a little before the drawing begins: what stands at its edge moves in.
        if (held && one["text-anchor"] === "end") one.x -= 5;
        paint(held ? marginPen : pen, [name, one], filled);
        yield;
      }
    };
    await sliced(work(), pen);
    this.body.replaceChildren(body);
    this.margin.replaceChildren(margin);
    this.view.style.height = `${Math.ceil(drawing.height * point) + this.extra}px`;
    this.margin.style.width = `${POINT_HELD * point}px`;
    this.drawn = drawn; this.text_ = text;
    this.place();
  }

  // Paper has lines, not dots.
  forPaper() {
    if (!this.drawn) return;
    const held = document.createElement("template");
    held.innerHTML = this.text_;
    const svg = held.content.firstElementChild;
    svg.setAttribute("aria-hidden", "true");
    svg.setAttribute("width", svg.viewBox.baseVal.width * this.drawn.point); svg.setAttribute("height", svg.viewBox.baseVal.height * this.drawn.point);
    this.screen = this.body.firstElementChild;
    this.body.replaceChildren(svg);
  }

  forScreen() { if (this.screen) this.body.replaceChildren(this.screen); this.screen = null; }

  place() {
    if (this.drawn) {
      const stretch = this.scale / this.drawn.scale, still = Math.abs(stretch - 1) < 1e-6;
      const way = (this.drawn.low - this.low) * this.scale + (still ? 0 : this.left * (1 - stretch));
      this.body.style.transform = `translateX(${way.toFixed(2)}px)${still ? "" : ` scaleX(${stretch.toFixed(6)})`}`;
    }
    // Words have the page laid out and painted anew: ten times a second is enough for them.
    this.spanning ||= setTimeout(() => {
      this.spanning = 0;
      const span = `${this.text(this.low)} – ${this.text(this.high)}`;
      if (this.span.textContent !== span) this.span.textContent = span;
    }, 100);
    this.cursor();
    for (const tell of this.listeners) tell(this);
  }

  // The window to be shown, kept on the main.
  show(low, high) {
    const least = Math.min(CLOSEST, this.end - this.start);
    let wide = Math.min(this.end - this.start, Math.max(least, high - low));
    let from = (low + high) / 2 - wide / 2;
    from = Math.min(this.end - wide, Math.max(this.start, from));
    this.low = from; this.high = from + wide;
    cancelAnimationFrame(this.frame);
    this.frame = requestAnimationFrame(() => this.wanted());
  }

  zoom(factor, around) {
    const share = (around - this.low) / (this.high - this.low);
    const wide = Math.min(this.end - this.start, Math.max(Math.min(CLOSEST, this.end - this.start), (this.high - this.low) / factor));
    const low = Math.min(this.end - wide, Math.max(this.start, around - share * wide));
    this.show(low, low + wide);
  }

  move(way) { this.show(this.low + way, this.high + way); }

  set(chainage, follow = false) {
    this.at = Math.min(this.end, Math.max(this.start, chainage));
    if (follow && (this.at < this.low || this.at > this.high)) {
      const half = (this.high - this.low) / 2;
      this.show(this.at - half, this.at + half);
    }
    if (follow) { this.cursor(); this.aloud(this.reading()); }
    // The line moves with every frame, the words twenty times a second: they have the page laid out anew.
    else this.drawing ||= requestAnimationFrame(() => { this.drawing = 0; this.cursor(); });
    this.telling ||= setTimeout(() => { this.telling = 0; this.read(); }, 50);
  }

  cursor() {
    const x = this.x(this.at);
    this.line.hidden = x < this.left - 1 || x > this.width;
    this.line.style.transform = `translateX(${x.toFixed(1)}px)`;
  }

  nearest(within = Infinity) {
    let low = 0, high = this.points.length;
    while (low < high) { const middle = (low + high) >> 1; if (this.points[middle].at < this.at) low = middle + 1; else high = middle; }
    let best = null;
    for (const one of [this.points[low - 1], this.points[low]]) if (one && Math.abs(one.at - this.at) <= within && (!best || Math.abs(one.at - this.at) < Math.abs(best.at - this.at))) best = one;
    return best;
  }

  reading() {
    const near = 7 / this.scale;
    return this.lanes.map((lane) => {
      const list = lane.spans || lane.points;
      if (lane.spans) {
        const held = spanAt(list, this.at);
        return held ? { text: held[2], href: held[3] } : null;
      }
      const found = around(list, this.at, near);
      return found ? { text: `${found[1]} (${this.text(found[0])})`, href: found[2] } : null;
    });
  }

  read() {
    if (!this.cells.length) return;
    const found = this.reading();
    this.cells[0].textContent = this.text(this.at);
    found.forEach((one, place) => {
      const cell = this.cells[place + 1], text = one ? one.text : "–";
      if (cell.textContent !== text) cell.textContent = text;
    });
    this.aloud(found);
  }

  aloud(found) {
    if (!this.cells.length) return;
    this.view.setAttribute("aria-valuenow", this.at.toFixed(2));
    this.view.setAttribute("aria-valuetext", [this.text(this.at), ...found.map((one, place) => (one ? `${this.lanes[place].name}: ${one.text}` : "")).filter(Boolean)].join("; "));
  }

  open() {
    const point = this.nearest(9 / this.scale);
    const span = this.lanes.filter((lane) => lane.spans).map((lane) => spanAt(lane.spans, this.at)).filter(Boolean).pop();
    const href = point ? point.href : span && span[3];
    if (!href) return;
    const told = new CustomEvent("ribbon-open", { bubbles: true, cancelable: true, detail: { href, at: this.at } });
    if (this.element.dispatchEvent(told)) location.href = href;
  }

  listen() {
    const view = this.view;
    this.element.querySelector(".ribbon-bar").addEventListener("click", (event) => {
      const what = event.target.closest("[data-do]")?.dataset.do;
      const middle = this.at >= this.low && this.at <= this.high ? this.at : (this.low + this.high) / 2;
      if (what === "in") this.zoom(1.6, middle);
      if (what === "out") this.zoom(1 / 1.6, middle);
      if (what === "all") this.show(this.start, this.end);
    });
    view.addEventListener("wheel", (event) => {
      if (event.deltaX && Math.abs(event.deltaX) > Math.abs(event.deltaY)) { event.preventDefault(); this.move(event.deltaX / this.scale); return; }
      if (event.shiftKey) { event.preventDefault(); this.move(event.deltaY / this.scale); return; }
      event.preventDefault();
      this.zoom(Math.exp(-event.deltaY / 400), this.chainage(this.local(event)));
    }, { passive: false });
    view.addEventListener("pointerenter", () => this.measure());
    view.addEventListener("pointerdown", (event) => {
      this.measure();
      if (event.target.closest("[data-grip]")) return;
      this.pointers.set(event.pointerId, event.clientX);
      this.began = { x: event.clientX, low: this.low, high: this.high, moved: false };
      view.setPointerCapture(event.pointerId);
    });
    view.addEventListener("pointermove", (event) => {
      if (event.target.closest?.("[data-grip]")) return;
      if (this.pointers.size === 2 && this.pointers.has(event.pointerId)) {
        const before = [...this.pointers.values()], gap = Math.abs(before[0] - before[1]);
        this.pointers.set(event.pointerId, event.clientX);
        const after = [...this.pointers.values()];
        this.began.moved = true;
        if (gap > 10) this.zoom(Math.abs(after[0] - after[1]) / gap, this.chainage((after[0] + after[1]) / 2 - this.edge));
        return;
      }
      if (this.pointers.has(event.pointerId)) {
        const way = event.clientX - this.began.x;
        if (Math.abs(way) > 4) { this.began.moved = true; view.classList.add("moving"); }
        if (this.began.moved) { this.show(this.began.low - way / this.scale, this.began.high - way / this.scale); return; }
      }
      this.set(this.chainage(this.local(event)));
    });
    const ended = (event) => {
      if (!this.pointers.delete(event.pointerId)) return;
      view.classList.remove("moving");
      if (event.type === "pointerup" && this.began && !this.began.moved) { this.set(this.chainage(this.local(event))); this.open(); }
    };
    view.addEventListener("pointerup", ended);
    view.addEventListener("pointercancel", ended);
    view.addEventListener("keydown", (event) => {
      if (event.target !== view || event.ctrlKey || event.altKey || event.metaKey) return;
      const wide = this.high - this.low, step = (wide / 100) * (event.shiftKey ? 10 : 1);
      const after = () => this.points.find((one) => one.at > this.at + 1e-6), before = () => this.points.findLast((one) => one.at < this.at - 1e-6);
      const does = {
        ArrowLeft: () => this.set(this.at - step, true), ArrowRight: () => this.set(this.at + step, true),
        ArrowDown: () => this.set(this.at - step, true), ArrowUp: () => this.set(this.at + step, true),
        PageUp: () => this.set(this.at + wide / 2, true), PageDown: () => this.set(this.at - wide / 2, true),
        Home: () => this.set(this.start, true), End: () => this.set(this.end, true),
        n: () => { const one = after(); if (one) this.set(one.at, true); }, p: () => { const one = before(); if (one) this.set(one.at, true); },
        "+": () => this.zoom(1.6, this.at), "=": () => this.zoom(1.6, this.at), "-": () => this.zoom(1 / 1.6, this.at), 0: () => this.show(this.start, this.end),
        Enter: () => this.open(),
      }[event.key];
      if (does) { event.preventDefault(); does(); }
    });
  }

  local(event) { return event.clientX - this.edge; }
}

function spanAt(list, at) {
  let low = 0, high = list.length;
  while (low < high) { const middle = (low + high) >> 1; if (list[middle][0] <= at) low = middle + 1; else high = middle; }
  const one = list[low - 1];
  return one && at <= one[1] ? one : null;
}

function around(list, at, near) {
  let low = 0, high = list.length;
  while (low < high) { const middle = (low + high) >> 1; if (list[middle][0] < at) low = middle + 1; else high = middle; }
  const found = [list[low - 1], list[low]].filter((one) => one && Math.abs(one[0] - at) <= near);
  return found.sort((a, b) => Math.abs(a[0] - at) - Math.abs(b[0] - at))[0] || null;
}

for (const element of document.querySelectorAll(".ribbon")) element.ribbon = new Ribbon(element);
document.dispatchEvent(new Event("ribbons-ready"));
