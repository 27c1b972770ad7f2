// The drawing of a ribbon painted on a canvas. The server sends it as SVG text; taken into the page as that, its thousands of marks are styled, laid
// out, painted and searched under the pointer by the browser, again with every move. Here the text is read mark by mark and painted a few
// milliseconds at a time, so that no frame waits for it; afterwards it is one picture that is slid and stretched.
const SLICE = 4; // milliseconds of a frame that may go into a new picture
const FAMILY = '"Mainwright Lato", Lato, sans-serif';
const MARK = /<(\/?)([a-z]+)([^>]*?)\/?>([^<]*)/g, SAID = /([a-z0-9-]+)="([^"]*)"/gi;
const PLAIN = { "&amp;": "&", "&lt;": "<", "&gt;": ">", "&quot;": '"' };

// Tells what is said of a mark: its attributes, its text under "said".
function told(attributes, text) {
  const found = {};
  for (const [, name, value] of attributes.matchAll(SAID)) found[name] = value;
  if (text) found.said = text.replace(/&(?:amp|lt|gt|quot);/g, (one) => PLAIN[one]);
  return found;
}

// Width, height and patterns of a drawing, and its marks one after another.
export function read(text) {
  const head = told(text.slice(0, text.indexOf(">")), ""), from = text.indexOf("<defs>"), to = text.indexOf("</defs>");
  return { width: +head.width, height: +head.height, patterns: from < 0 ? "" : text.slice(from + 6, to), marks: () => marks(from < 0 ? text : text.slice(0, from) + text.slice(to + 7)) };
}

function* marks(text) {
  for (const [, end, name, attributes, said] of text.matchAll(MARK)) if (!end && name !== "g" && name !== "svg" && name !== "title") yield [name, told(attributes, name === "text" ? said : "")];
}

// A canvas so many dots of the screen wide and high, whose unit is a point of the drawing.
export function sheet(width, height, point, sharp) {
  const canvas = document.createElement("canvas");
  canvas.width = Math.ceil(width * point * sharp); canvas.height = Math.ceil(height * point * sharp);
  canvas.style.width = `${canvas.width / sharp}px`; canvas.style.height = `${canvas.height / sharp}px`;
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.scale(point * sharp, point * sharp);
  return [canvas, pen];
}

// Fills by their name, as the drawing says "url(#name)".
export function fills(patterns, pen, scale) {
  const found = {};
  for (const [, attributes, inside] of patterns.matchAll(/<pattern([^>]*)>(.*?)<\/pattern>/gs)) {
    const { id, width } = told(attributes, ""), step = +width, dots = Math.max(2, Math.round(step * scale * 2));
    const tile = document.createElement("canvas");
    tile.width = tile.height = dots;
    const inner = tile.getContext("2d");
    inner.scale(dots / step, dots / step);
    for (const one of marks(inside)) paint(inner, one, {});
    found[`url(#${id})`] = pen.createPattern(tile, "repeat");
    found[`url(#${id})`].setTransform(new DOMMatrix().scale(step / dots));
  }
  return found;
}

const SHAPES = {
  line: (one) => `M${one.x1} ${one.y1}L${one.x2} ${one.y2}`,
  rect: (one) => `M${one.x || 0} ${one.y || 0}h${one.width}v${one.height}h-${one.width}z`,
  circle: (one) => `M${+one.cx + +one.r} ${one.cy}a${one.r} ${one.r} 0 1 1 -${2 * one.r} 0a${one.r} ${one.r} 0 1 1 ${2 * one.r} 0z`,
  path: (one) => one.d,
};

// Paints one mark.
export function paint(pen, [name, one], filled) {
  if (one.stroke) { pen.strokeStyle = one.stroke; pen.lineWidth = +(one["stroke-width"] || 1); pen.lineJoin = one["stroke-linejoin"] || "miter"; pen.lineCap = one["stroke-linecap"] || "butt"; }
  if (one.fill && one.fill !== "none") pen.fillStyle = filled[one.fill] || one.fill;
  if (name === "text") { write(pen, one); return; }
  const shape = new Path2D(SHAPES[name](one));
  if (one.fill && one.fill !== "none") pen.fill(shape);
  if (!one.stroke) return;
  if (one["stroke-dasharray"]) pen.setLineDash(one["stroke-dasharray"].split(" ").map(Number));
  pen.stroke(shape);
  if (one["stroke-dasharray"]) pen.setLineDash([]);
}

function write(pen, one) {
  const turned = one.transform?.startsWith("rotate(-90");
  pen.font = `${one["font-weight"] || 400} ${one["font-size"]}px ${FAMILY}`;
  pen.textAlign = { middle: "center", end: "right" }[one["text-anchor"]] || "left";
  if (turned) { pen.save(); pen.translate(+one.x, +one.y); pen.rotate(-Math.PI / 2); }
  const x = turned ? 0 : +one.x, y = turned ? 0 : +one.y;
  if (one.stroke) pen.strokeText(one.said, x, y);
  pen.fillText(one.said, x, y);
  if (turned) pen.restore();
}

let lettered;
// The type must be there before the first letter: a canvas is not painted again when it comes.
export function letters() {
  lettered ||= Promise.all([400, 600, 700].map((weight) => document.fonts.load(`${weight} 10px ${FAMILY}`))).catch(() => {});
  return lettered;
}

// Does the work of a generator a slice in each frame; a reading of one dot has the browser paint the slice now and not all of them together at the end.
export function sliced(work, pen) {
  return new Promise((done, failed) => {
    const slice = () => {
      try {
        const until = performance.now() + SLICE;
        do if (work.next().done) { done(); return; } while (performance.now() < until);
        pen.getImageData(0, 0, 1, 1);
      } catch (wrong) { failed(wrong); return; }
      requestAnimationFrame(slice);
    };
    slice();
  });
}
